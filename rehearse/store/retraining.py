"""Retraining: a failed element must be closed before the next pass of it counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, select

from rehearse.store import reading, roster, tables
from rehearse.store.canonical import time_of
from rehearse.store.chain import Row, Writing
from rehearse.store.desk import Desk
from rehearse.store.mishaps import MissingError, NotAcceptedError
from rehearse.store.naming import must_not_name
from rehearse.store.permissions import Operation
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Retraining

_LONGEST_TEXT = 10_000


@dataclass(frozen=True)
class RetrainingEntries:
    """`Store.retraining`: what was failed, and how it was made good."""

    _desk: Desk

    def entries(
        self, actor: Actor, person_id: str | None = None, *, still_open: bool = False
    ) -> tuple[Retraining, ...]:
        """Entries of one person or of all, oldest failure first.

        Those of results that the actor is to mark blind are passed over.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_RETRAINING, person_id)
            links = Links.read(connection)
            hidden = reading.hidden_from(connection, links.ids(actor.person))
            return tuple(
                entry
                for entry in entries(connection, links, person_id)
                if entry.result not in hidden and not (still_open and entry.closed_at)
            )

    def close(self, actor: Actor, entry_id: str, how: str) -> Retraining:
        """Close an entry: passes of takes from now on count again.

        how: what was retrained, by whom.

        Raises:
            MissingError: there is no such entry.
            NotAcceptedError: it is closed already, or `how` is empty or names the person.
        """
        roster.check_text(how, "how it was retrained", _LONGEST_TEXT)
        if not how.strip():
            raise NotAcceptedError("say what was retrained and by whom")
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            links = Links.read(connection)
            entry = next((e for e in entries(connection, links) if e.id == entry_id), None)
            if entry is None:
                raise MissingError(f"{entry_id}: there is no such retraining entry in this store")
            self._desk.check(connection, actor, Operation.CLOSE_RETRAINING, entry.person)
            if entry.closed_at is not None:
                raise NotAcceptedError(f"{entry_id}: closed already")
            person = roster.person_of(connection, links, entry.person, self._desk.vault)
            must_not_name(how, person, "how it was retrained")
            writing.add(tables.retraining_closed, retraining=entry_id, how=how, void=0)
            return next(e for e in entries(connection, links, entry.person) if e.id == entry_id)


def open_entry(writing: Writing, result: Row) -> None:
    """Add an entry for a failed result's row."""
    writing.add(
        tables.retraining,
        person=result["person"],
        element=result["element"],
        result=result["id"],
        failed_at=result["taken_at"],
    )


def void_entries(writing: Writing, result_id: str, reason: str) -> None:
    """Void the entries of a result that a correction turned into a pass."""
    opened, closed = tables.retraining, tables.retraining_closed
    voided = select(closed.c.retraining).where(closed.c.void == 1)
    wanted = select(opened.c.id).where(opened.c.result == result_id, opened.c.id.not_in(voided))
    for entry in list(writing.connection.scalars(wanted)):
        writing.add(tables.retraining_closed, retraining=entry, how=f"corrected: {reason}", void=1)


def entries(connection: Connection, links: Links, person_id: str | None = None) -> list[Retraining]:
    """Entries of one person or of all, oldest failure first; the first closing counts."""
    opened, closed = tables.retraining, tables.retraining_closed
    wanted: Select[Any] = (
        select(
            opened,
            closed.c.at.label("closed_at"),
            closed.c.actor.label("closed_by"),
            closed.c.how,
            closed.c.void,
        )
        .outerjoin(closed, closed.c.retraining == opened.c.id)
        .order_by(opened.c.failed_at, opened.c.id, closed.c.void.desc(), closed.c.tick)
    )
    if person_id is not None:
        wanted = wanted.where(opened.c.person.in_(links.ids(person_id)))
    found: dict[str, Retraining] = {}
    for row in connection.execute(wanted).mappings():
        found.setdefault(row["id"], _entry(row, links))
    return list(found.values())


def _entry(row: Any, links: Links) -> Retraining:  # noqa: ANN401 - a joined row
    done = row["closed_at"]
    return Retraining(
        id=row["id"],
        person=links.one(row["person"]),
        element=row["element"],
        result=row["result"],
        failed_at=time_of(row["failed_at"]),
        closed_at=time_of(done) if done else None,
        closed_by=links.one(row["closed_by"]) if done else "",
        how=row["how"] or "",
        void=bool(row["void"]),
    )
