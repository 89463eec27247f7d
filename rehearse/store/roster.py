"""Rows about people turned into people: which row counts now, and which ids are one person.

Two stations may enter the same person on their own. A merge then links the two ids; from there
on every id of a person means the smallest of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from rehearse.store import tables
from rehearse.store.canonical import from_text, to_text
from rehearse.store.chain import Row
from rehearse.store.mishaps import MissingError, NotAcceptedError
from rehearse.store.values import NewPerson, Person, Role
from rehearse.store.vault import Vault

_LONGEST = 500  # characters of a name, a staff number, a position


@dataclass(frozen=True)
class Links:
    """Which ids belong to one person. `groups` holds only ids that were linked."""

    groups: dict[str, frozenset[str]]

    @classmethod
    def read(cls, connection: Connection) -> Links:
        """The links as they stand."""
        groups: dict[str, frozenset[str]] = {}
        pairs = select(tables.link.c.person, tables.link.c.same_as)
        for one, other in connection.execute(pairs):
            joined = groups.get(one, frozenset({one})) | groups.get(other, frozenset({other}))
            groups.update(dict.fromkeys(joined, joined))
        return cls(groups)

    def ids(self, person: str) -> frozenset[str]:
        """All ids of this person."""
        return self.groups.get(person, frozenset({person}))

    def one(self, person: str) -> str:
        """The id that stands for this person."""
        group = self.groups.get(person)
        return min(group) if group else person


def identity(person: NewPerson) -> bytes:
    """What is personal about a person, as the content beside its row.

    Raises:
        NotAcceptedError: no staff number or name, or one that no page could show.
    """
    texts = {"staff number": person.staff_number, "name": person.name}
    for what, text in texts.items():
        if not text.strip():
            raise NotAcceptedError(f"a person needs a {what}")
        check_text(text, what)
    return to_text({"staff_number": person.staff_number, "name": person.name}).encode()


def check_text(text: str, what: str, longest: int = _LONGEST) -> None:
    """Refuse a text that cannot be kept as it is.

    Raises:
        NotAcceptedError: it is too long, or holds control characters or half a character.
    """
    if len(text) > longest:
        raise NotAcceptedError(f"{what}: longer than {longest} characters; shorten it")
    if any(ord(character) < 32 and character not in "\n\t" for character in text):
        raise NotAcceptedError(f"{what}: holds a control character; take it out")
    try:
        text.encode()
    except UnicodeEncodeError:
        raise NotAcceptedError(f"{what}: holds half a character; type it again") from None


def latest(connection: Connection, people: Iterable[str] | None = None) -> list[Row]:
    """The rows about these people (all when None), the newest last."""
    rows = select(tables.person).order_by(tables.person.c.tick, tables.person.c.station)
    if people is not None:
        rows = rows.where(tables.person.c.person.in_(list(people)))
    return [dict(row) for row in connection.execute(rows).mappings()]


def person_of(connection: Connection, links: Links, person: str, vault: Vault) -> Person:
    """A person as known now.

    Raises:
        MissingError: there is none with this id.
    """
    rows = latest(connection, links.ids(person))
    if not rows:
        raise MissingError(f"{person}: there is no such person in this store")
    return value(rows[-1], links, _contents(connection, vault, [rows[-1]["id"]]))


def everyone(connection: Connection, links: Links, vault: Vault) -> list[Person]:
    """Every person as known now, by name."""
    newest = {links.one(row["person"]): row for row in latest(connection)}
    known = _contents(connection, vault, None)
    people = [value(row, links, known) for row in newest.values()]
    return sorted(people, key=lambda person: (person.name.casefold(), person.id))


def value(row: Row, links: Links, contents: dict[str, dict[str, Any]]) -> Person:
    """The person of a row, with the identity that is still kept for it."""
    known = contents.get(row["id"])
    left = row["left_on"]
    return Person(
        id=links.one(row["person"]),
        staff_number=known["staff_number"] if known else "",
        name=known["name"] if known else "",
        roles=frozenset(Role(role) for role in from_text(row["roles"])),
        positions=tuple(from_text(row["positions"])),
        aircraft=tuple(from_text(row["aircraft"])),
        left_on=date.fromisoformat(left) if left else None,
        erased=known is None,
    )


def columns(person: NewPerson, left_on: date | None = None) -> dict[str, object]:
    """What a row keeps of a person beside the identity.

    Raises:
        NotAcceptedError: no role, or a text that no page could show.
    """
    if not person.roles:
        raise NotAcceptedError(f"{person.staff_number}: a person needs at least one role")
    for text in (*person.positions, *person.aircraft):
        check_text(text, "position or aircraft")
    return {
        "roles": to_text(sorted(person.roles)),
        "positions": to_text(list(person.positions)),
        "aircraft": to_text(list(person.aircraft)),
        "left_on": left_on.isoformat() if left_on else None,
    }


def _contents(
    connection: Connection, vault: Vault, rows: list[str] | None
) -> dict[str, dict[str, Any]]:
    wanted = select(tables.content).where(tables.content.c.kind == "identity")
    if rows is not None:
        wanted = wanted.where(tables.content.c.id.in_(rows))
    return {
        row["id"]: from_text(vault.open(row["id"], row["key"], row["body"]).decode())
        for row in connection.execute(wanted).mappings()
    }
