"""Two stations' stores become one: every chain is taken over whole, and nothing counts twice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import chain

from sqlalchemy import Connection, select

from rehearse.store import roster, tables
from rehearse.store.chain import Writing, heads
from rehearse.store.copying import (
    Carried,
    drop_erased,
    insert_rows,
    must_be_sound,
    rows_of,
    take_heads,
)
from rehearse.store.erasing import TIDIED, erase_rows
from rehearse.store.mishaps import DamagedError, NotAcceptedError
from rehearse.store.privacy import contents_of
from rehearse.store.roster import Links
from rehearse.store.settings import ZONE, setting
from rehearse.store.values import Head, Merged, Person, Text
from rehearse.store.vault import Vault

_MERGED = "merged"


def merge(writing: Writing, source: Connection, name: str, vault: Vault) -> Merged:
    """See `Upkeep.merge`. Nothing may have been added through `writing` before.

    Raises:
        DamagedError: the source is broken, or its history contradicts this store's.
        NotAcceptedError: it belongs to another operator's key or time zone.
    """
    must_be_sound(source, name)
    target = writing.connection
    _must_fit(writing, source, name, vault)
    carried = _Carrying(rows_of(source, {head.station: head.number for head in heads(target)}))
    insert_rows(target, carried, source)
    take_heads(target, source)
    writing.catch_up()
    gone = drop_erased(target)
    linked = _link(writing, vault)
    gone += _follow_erasures(writing)
    if carried.news:
        text = ", ".join(str(head) for head in heads(source))
        writing.add(tables.incident, kind=_MERGED, text=text)
    return Merged(carried.rows, linked, gone)


class _Carrying:
    """Rows passed on and counted. `news`: there was more among them than notes of merges."""

    def __init__(self, carried: Iterator[Carried]) -> None:
        self._carried = carried
        self.rows = 0
        self.news = False

    def __iter__(self) -> Iterator[Carried]:
        for table, row in self._carried:
            self.rows += 1
            note = table is tables.incident and row["kind"] == _MERGED
            self.news = self.news or not note
            yield table, row


def _must_fit(writing: Writing, source: Connection, name: str, vault: Vault) -> None:
    target = writing.connection
    known = {head.station: head for head in heads(target)}
    for head in heads(source):
        mine = known.get(head.station)
        if mine is not None and head.station == writing.station and head.number > mine.number:
            raise DamagedError(
                f"{name}: holds {head.number} rows of this station, which has {mine.number} here; "
                "this file is an older copy: restore the other one as a new station"
            )
        if mine is not None:
            _must_agree(target, source, Head(head.station, min(head.number, mine.number), ""))
    keys = set(source.scalars(select(tables.content.c.key).distinct()))
    if not keys <= {vault.key_id}:
        raise NotAcceptedError(f"{name}: not under this store's operator key; use one key for both")
    zones = [setting(connection, ZONE, "") for connection in (target, source)]
    if zones[0] != zones[1]:
        raise NotAcceptedError(f"{name}: keeps the time zone {zones[1]}, this store {zones[0]}")


def _must_agree(target: Connection, source: Connection, at: Head) -> None:
    """Two histories of one station that part are two stores that were one file once."""
    mine, theirs = (_hash_at(connection, at) for connection in (target, source))
    if mine != theirs:
        raise DamagedError(
            f"{at.station}: has two histories that differ up to row {at.number}; one of the "
            "files is a copy that was written to; restore the copy as a station of its own"
        )


def _hash_at(connection: Connection, at: Head) -> bytes | None:
    for table in tables.CHAINED:
        here = (table.c.station == at.station) & (table.c.number == at.number)
        found: bytes | None = connection.scalar(select(table.c.hash).where(here))
        if found is not None:
            return found
    return None


def _link(writing: Writing, vault: Vault) -> tuple[tuple[str, str], ...]:
    """Link people whom two stations entered with one staff number."""
    connection = writing.connection
    by_number: Mapping[str, list[Person]] = _by_number(connection, vault)
    linked = []
    for same in by_number.values():
        first, *others = sorted(same, key=lambda person: person.id)
        for other in others:
            here = first.left_on is None and other.left_on is None
            if here or first.name.casefold() == other.name.casefold():
                writing.add(tables.link, person=other.id, same_as=first.id)
                linked.append((other.id, first.id))
    return tuple(linked)


def _by_number(connection: Connection, vault: Vault) -> dict[str, list[Person]]:
    people: dict[str, list[Person]] = defaultdict(list)
    for person in roster.everyone(connection, Links.read(connection), vault):
        if not person.erased:
            people[person.staff_number].append(person)
    return people


def _follow_erasures(writing: Writing) -> int:
    """Erase here what is left of people whom the other station erased."""
    table = tables.erasure
    wanted = select(table.c.person).where(table.c.kind == Text.IDENTITY, table.c.reason != TIDIED)
    links = Links.read(writing.connection)
    groups = {links.ids(person) for person in writing.connection.scalars(wanted.distinct())}
    left = list(chain.from_iterable(contents_of(writing.connection, ids) for ids in groups))
    return sum(erase_rows(writing, left, "erased at another station").counts.values())
