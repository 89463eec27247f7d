"""What is personal: consent, who read what, all of it handed out, and all of it erased."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from sqlalchemy import Connection, select

from rehearse.record.retention import KEEP_DAYS
from rehearse.safety import NOTICE
from rehearse.store import roster, sounds, tables
from rehearse.store.about import about
from rehearse.store.canonical import to_text, when
from rehearse.store.chain import Row, Writing, recorded
from rehearse.store.desk import Desk
from rehearse.store.erasing import TIDIED, erase_rows
from rehearse.store.mishaps import NotAcceptedError, NotAllowedError
from rehearse.store.naming import must_not_name, named_in
from rehearse.store.permissions import Operation
from rehearse.store.portable import plain
from rehearse.store.roster import Links
from rehearse.store.settings import setting
from rehearse.store.values import (
    Access,
    Actor,
    Consent,
    Erased,
    Person,
    PersonExport,
    Retention,
    Text,
)

_DEFAULT_DAYS = {Text.SOUND: KEEP_DAYS}
_WHILE_HERE = {Text.IDENTITY, Text.CREDENTIAL}  # kept at least until the person leaves
_Content = tuple[str, Text, str]  # the row it belongs to, its kind, and the person it is about


@dataclass(frozen=True)
class Privacy:
    """`Store.privacy`: what a person may ask of those who keep records about them."""

    _desk: Desk

    def consent(self, actor: Actor, person_id: str, kind: Text, *, given: bool) -> Consent:
        """Record that a person consents to keeping this, or no longer does.

        What is kept already stays until it is erased or its time is over.
        """
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            self._desk.check(connection, actor, Operation.CONSENT, person_id)
            links = Links.read(connection)
            person = roster.person_of(connection, links, person_id, self._desk.vault)
            row = writing.add(tables.consent, person=person.id, kind=kind, given=int(given))
            return _consent(row, links)

    def consents(self, actor: Actor, person_id: str) -> tuple[Consent, ...]:
        """A person's consents, oldest first; the last of a kind holds."""
        table = tables.consent
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.CONSENT, person_id)
            links = Links.read(connection)
            wanted = select(table).where(table.c.person.in_(links.ids(person_id)))
            rows = connection.execute(wanted.order_by(table.c.tick)).mappings()
            return tuple(_consent(dict(row), links) for row in rows)

    def accesses(self, actor: Actor, person_id: str | None = None) -> tuple[Access, ...]:
        """Who read what of a person, or of anyone, oldest first."""
        table = tables.access
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_ACCESS, person_id)
            links = Links.read(connection)
            wanted = select(table).order_by(table.c.tick)
            if person_id is not None:
                wanted = wanted.where(table.c.person.in_(links.ids(person_id)))
            rows = connection.execute(wanted).mappings()
            return tuple(_access(dict(row), links) for row in rows)

    def export(self, actor: Actor, person_id: str) -> PersonExport:
        """Everything about one person, sound included; another's export is recorded first."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.EXPORT_PERSON, person_id)
            links = Links.read(connection)
            person = roster.person_of(connection, links, person_id, self._desk.vault)
            own = person_id in links.ids(actor.person)
        if not own:
            with self._desk.writing(actor) as writing:
                writing.add(
                    tables.access, person=person.id, what="export", record="", purpose="export"
                )
        with self._desk.reading(actor) as connection:
            ids = links.ids(person_id)
            rows = {
                table.name: tuple(self._plain(connection, table, row) for row in found)
                for table, found in about(connection, ids)
            }
            kept = {
                str(row["result"]): sound
                for row in rows["sound"]
                if (sound := sounds.stored(connection, str(row["result"]), self._desk.vault))
            }
        return PersonExport(person, rows, kept, NOTICE)

    def _plain(self, connection: Connection, table: Any, row: Row) -> dict[str, object]:  # noqa: ANN401
        values = plain(row)
        if table in {tables.person, tables.remark}:
            wanted = select(tables.content).where(tables.content.c.id == row["id"])
            kept = connection.execute(wanted).mappings().one_or_none()
            clear = kept and self._desk.vault.open(kept["id"], kept["key"], kept["body"])
            values["content"] = clear.decode() if clear else None
        return values

    def erase(self, actor: Actor, person_id: str, reason: str) -> Erased:
        """Erase a person's identity, PIN, remarks and sound. The results stay, without a name.

        The chains stay whole. Backups made before still hold what is erased here, and so does
        what `Erased.named` tells of.

        Raises:
            NotAcceptedError: no reason, one that names the person, or the actor's own person.
        """
        roster.check_text(reason, "reason")
        if not reason.strip():
            raise NotAcceptedError("an erasure needs its reason")
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            self._desk.check(connection, actor, Operation.ERASE)
            links = Links.read(connection)
            person = roster.person_of(connection, links, person_id, self._desk.vault)
            if actor.person in links.ids(person_id):
                raise NotAllowedError("another administrator must erase your own data")
            must_not_name(reason, person, "reason")
            named = tuple(_naming(connection, person))
            erased = erase_rows(writing, contents_of(connection, links.ids(person.id)), reason)
        self._desk.database.scrub()
        return replace(erased, named=named)

    def retention(self, actor: Actor, kind: Text, days: int | None) -> None:
        """Set for how many days a kind is kept; an identity from when the person left.

        Raises:
            NotAcceptedError: not at least one day.
        """
        if days is not None and days < 1:
            raise NotAcceptedError(f"{days} days: keep it for one day at least, or without end")
        with self._desk.writing(actor) as writing:
            self._desk.check(writing.connection, actor, Operation.RETENTION)
            writing.add(tables.setting, name=f"keep {kind}", value=to_text(days))

    def retentions(self, actor: Actor) -> tuple[Retention, ...]:
        """How long each kind is kept."""
        with self._desk.reading(actor) as connection:
            return tuple(Retention(kind, days) for kind, days in _retentions(connection).items())

    def tidy(self, actor: Actor) -> Erased:
        """Erase what has been kept for its time. Returns what went."""
        with self._desk.writing(actor) as writing:
            self._desk.check(writing.connection, actor, Operation.MAINTAIN)
            over = list(_over(self._desk, writing))
            erased = erase_rows(writing, over, TIDIED)
        self._desk.database.scrub()
        return erased


def contents_of(connection: Connection, people: frozenset[str]) -> list[_Content]:
    """Every content about these people: identities, PINs, and remarks on and sound of results."""
    found: list[_Content] = []
    for table, kind in ((tables.person, Text.IDENTITY), (tables.credential, Text.CREDENTIAL)):
        wanted = select(table.c.id, table.c.person).where(table.c.person.in_(people))
        found += [(row, kind, person) for row, person in connection.execute(wanted)]
    for table, kind in ((tables.remark, Text.REMARK), (tables.sound, Text.SOUND)):
        wanted = (
            select(table.c.id, tables.result.c.person)
            .join(tables.result, tables.result.c.id == table.c.result)
            .where(tables.result.c.person.in_(people))
        )
        found += [(row, kind, person) for row, person in connection.execute(wanted)]
    return found


def _naming(connection: Connection, person: Person) -> Iterator[str]:
    """Ids of the rows whose text names this person and stays on record all the same."""
    for table, name in (
        (tables.overrule, "reason"),
        (tables.retraining_closed, "how"),
        (tables.access, "purpose"),
        (tables.erasure, "reason"),
    ):
        wanted = select(table.c.id, table.c[name]).where(table.c[name] != "").order_by(table.c.tick)
        for row, text in connection.execute(wanted):
            if named_in(text, person):
                yield row


def _retentions(connection: Connection) -> dict[Text, int | None]:
    return {kind: setting(connection, f"keep {kind}", _DEFAULT_DAYS.get(kind)) for kind in Text}


def _over(desk: Desk, writing: Writing) -> Iterator[_Content]:
    connection = writing.connection
    keep = _retentions(connection)
    result = tables.result
    for table, kind in ((tables.remark, Text.REMARK), (tables.sound, Text.SOUND)):
        days = keep[kind]
        if days is not None:
            before = when(writing.now - timedelta(days=days))
            wanted = select(table.c.id, result.c.person).join(result, result.c.id == table.c.result)
            for row, person in connection.execute(wanted.where(table.c.at < before)):
                yield row, kind, person
    links = Links.read(connection)
    for person in roster.everyone(connection, links, desk.vault):
        if person.left_on is None:
            continue
        gone = desk.today() - person.left_on
        for row, kind, whose in contents_of(connection, links.ids(person.id)):
            days = keep[kind]
            if kind in _WHILE_HERE and days is not None and gone > timedelta(days=days):
                yield row, kind, whose


def _consent(row: Row, links: Links) -> Consent:
    return Consent(
        row["id"],
        recorded(row),
        links.one(row["actor"]),
        links.one(row["person"]),
        Text(row["kind"]),
        bool(row["given"]),
    )


def _access(row: Row, links: Links) -> Access:
    return Access(
        row["id"],
        recorded(row),
        links.one(row["actor"]),
        links.one(row["person"]) if row["person"] else "",
        row["what"],
        row["record"],
        row["purpose"],
    )
