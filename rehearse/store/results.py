"""Results: recorded, read, remarked on, overruled. The first verdicts stay for good."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Select, exists, select

from rehearse.errors import StoreError
from rehearse.judge.verdict import Verdict
from rehearse.store import facts, outcome, reading, roster, tables
from rehearse.store.canonical import time_of, to_text, when
from rehearse.store.chain import Row, Writing
from rehearse.store.desk import Desk, result_row
from rehearse.store.mishaps import NotAcceptedError, SealedError
from rehearse.store.naming import must_not_name
from rehearse.store.permissions import Operation
from rehearse.store.roster import Links
from rehearse.store.values import (
    Actor,
    Kind,
    Method,
    NewResult,
    Overrule,
    Person,
    Record,
    Remark,
    Result,
    Text,
)

_LONGEST_TEXT = 10_000
_SAME = ("taken_at", "kind", "element", "procedure", "revision", "method", "steps")
_TO_RECORD = {
    Kind.PRACTICE: Operation.RECORD_PRACTICE,
    Kind.CHECK: Operation.RECORD_CHECK,
    Kind.PAST: Operation.RECORD_PAST,
}


@dataclass(frozen=True)
class Results:
    """`Store.results`: what was judged, and the instructor's last word on it."""

    _desk: Desk

    def record(self, actor: Actor, result: NewResult) -> Result:
        """Record a result. A check is recorded by its examiner, practice by anyone concerned.

        Raises:
            NotAcceptedError: it lacks something, or names somebody who is not in the store.
        """
        return self._record(actor, [result])[0]

    def record_past(self, actor: Actor, results: Sequence[NewResult]) -> tuple[Result, ...]:
        """Record results from older records, all or none; those recorded before are passed over.

        They are sealed as they come. Returns what was new.
        """
        wrong = next((result for result in results if result.kind is not Kind.PAST), None)
        if wrong is not None:
            raise NotAcceptedError(f"a {wrong.kind} is no past result; record it by itself")
        return self._record(actor, results)

    def _record(self, actor: Actor, results: Sequence[NewResult]) -> tuple[Result, ...]:
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            links = Links.read(connection)
            for about, kind in {(result.person, result.kind) for result in results}:
                self._desk.check(connection, actor, _TO_RECORD[kind], about)
            _must_exist(self._desk, connection, links, actor, results)
            rows = [_columns(self._desk, result) for result in results]
            new = [row for row in rows if not _is_there(connection, links, row)]
            made = writing.add_many(tables.result, new)
            past = [row for row in made if row["kind"] == Kind.PAST]
            zone = self._desk.zone
            writing.add_many(
                tables.seal, [seal_of(row, zone, None, passed=bool(row["passed"])) for row in past]
            )
            return tuple(reading.result_of(row, links) for row in made)

    def get(self, actor: Actor, result_id: str) -> Record:
        """One result with all that was added to it.

        Raises:
            NotAllowedError: not to this role, or the actor is to mark this take blind first.
        """
        with self._desk.reading(actor) as connection:
            person = str(result_row(connection, result_id)["person"])
            self._desk.check(connection, actor, Operation.READ_RESULTS, person)
            ids = Links.read(connection).ids(actor.person)
            reading.must_be_open(connection, ids, result_id)
        if person not in ids:
            self._note(actor, person, "result", result_id)
        with self._desk.reading(actor) as connection:
            wanted = select(tables.result).where(tables.result.c.id == result_id)
            return next(reading.records(connection, wanted, self._desk.vault))

    def of(self, actor: Actor, person_id: str) -> Iterator[Record]:
        """A person's records by time of the take, without those the actor is to mark blind."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_RESULTS, person_id)
            ids = Links.read(connection).ids(person_id)
        if actor.person not in ids:
            self._note(actor, person_id, "results", "")
        return self._stream(actor, select(tables.result).where(tables.result.c.person.in_(ids)))

    def every(
        self, actor: Actor, *, since: datetime | None = None, until: datetime | None = None
    ) -> Iterator[Record]:
        """All records of takes from `since` to just before `until`, by time, in bounded memory.

        Those the actor is to mark blind are passed over.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_RESULTS)
        self._note(actor, None, "every result", "")
        wanted = select(tables.result)
        if since is not None:
            wanted = wanted.where(tables.result.c.taken_at >= when(since))
        if until is not None:
            wanted = wanted.where(tables.result.c.taken_at < when(until))
        return self._stream(actor, wanted)

    def _stream(self, actor: Actor, wanted: Select[Any]) -> Iterator[Record]:
        ordered = wanted.order_by(tables.result.c.taken_at, tables.result.c.id)
        with self._desk.reading(actor) as connection:
            ids = Links.read(connection).ids(actor.person)
            hidden = reading.hidden_from(connection, ids)
            yield from reading.records(connection, ordered, self._desk.vault, hidden)

    def _note(self, actor: Actor, person: str | None, what: str, record: str) -> None:
        """Note who read whose marks: it decides who can still mark blind.

        A disk that cannot be written does not keep records from being read.
        """
        with contextlib.suppress(StoreError), self._desk.writing(actor) as writing:
            writing.add(tables.access, person=person, what=what, record=record, purpose="")

    def overrule(
        self, actor: Actor, result_id: str, step: str, verdict: Verdict, reason: str
    ) -> Overrule:
        """Put a verdict in place of the one that counts now; both stay.

        Raises:
            SealedError: the record is signed; see `Signing.correct`.
            NotAcceptedError: no such step, that verdict counts already, no reason, or one that
                names the candidate.
        """
        with self._desk.writing(actor) as writing:
            links = Links.read(writing.connection)
            row = result_row(writing.connection, result_id)
            self._desk.check(writing.connection, actor, Operation.OVERRULE, row["person"])
            reading.must_be_open(writing.connection, links.ids(actor.person), result_id)
            if is_sealed(writing.connection, result_id):
                raise SealedError(f"{result_id}: signed already; a signed correction can be added")
            person = roster.person_of(writing.connection, links, row["person"], self._desk.vault)
            must_not_name(reason, person, "reason")
            made = add_overrule(writing, row, step, verdict, reason, after_seal=False)
            return reading.overrule_of(made, links)

    def remark(
        self, actor: Actor, result_id: str, text: str, second: float | None = None
    ) -> Remark:
        """Add free text, to the take's `second` where given. It can be erased with the person."""
        roster.check_text(text, "remark", _LONGEST_TEXT)
        with self._desk.writing(actor) as writing:
            links = Links.read(writing.connection)
            row = result_row(writing.connection, result_id)
            self._desk.check(writing.connection, actor, Operation.REMARK, row["person"])
            at = None if second is None else repr(float(second))
            content = (Text.REMARK, text.encode())
            made = writing.add(tables.remark, content, result=result_id, second=at)
            by = links.one(actor.person)
            return Remark(made["id"], writing.now, by, result_id, text, second)


def is_sealed(connection: Connection, result_id: str) -> bool:
    """Whether the result was signed."""
    return bool(connection.scalar(select(exists().where(tables.seal.c.result == result_id))))


def add_overrule(
    writing: Writing, row: Row, step: str, verdict: Verdict, reason: str, *, after_seal: bool
) -> Row:
    """Add an overrule of a result's row; returns the new row.

    Raises:
        NotAcceptedError: no such step, no reason, or that verdict counts already.
    """
    roster.check_text(reason, "reason", _LONGEST_TEXT)
    if not reason.strip():
        raise NotAcceptedError("an overrule needs its reason")
    now = counting_now(writing.connection, row)
    if step not in now:
        raise NotAcceptedError(f"{row['id']}: has no step {step}; its steps: {', '.join(now)}")
    if now[step] is verdict:
        raise NotAcceptedError(f"{row['id']}: step {step} counts as {verdict} already")
    return writing.add(
        tables.overrule,
        result=row["id"],
        step=step,
        was=now[step],
        verdict=verdict,
        reason=reason,
        after_seal=int(after_seal),
    )


def seal_of(row: Row, zone: ZoneInfo, signature: str | None, *, passed: bool) -> dict[str, object]:
    """The seal of a result's row, with what currency needs of it."""
    packed = facts.pack(
        day=date.fromisoformat(row["taken_on"]),
        taken_at=time_of(row["taken_at"]),
        zone=zone,
        method=Method(row["method"]),
        passed=passed,
        revision=row["revision"],
    )
    named = {name: row[name] for name in ("person", "element", "procedure")}
    return {"result": row["id"], "signature": signature, **named, "facts": packed}


def counting_now(connection: Connection, row: Row) -> dict[str, Verdict]:
    """Every step's verdict that counts now, of a result's row."""
    over = tables.overrule
    wanted = select(over).where(over.c.result == row["id"]).order_by(over.c.tick, over.c.station)
    overrules = [dict(found) for found in connection.execute(wanted).mappings()]
    seals = reading.sealed().where(tables.seal.c.result == row["id"])
    statements = [reading.statement_of(dict(seal)) for seal in connection.execute(seals).mappings()]
    count, _ = reading.counting(overrules, statements)
    return outcome.overruled(outcome.verdicts_of(outcome.steps_of(row["steps"])), count)


def _is_there(connection: Connection, links: Links, row: Row) -> bool:
    """Whether this past result was recorded before, here or at a station that was merged."""
    if row["kind"] != Kind.PAST:
        return False
    table = tables.result
    same = [table.c[name] == row[name] for name in _SAME]
    wanted = select(exists().where(table.c.person.in_(links.ids(row["person"])), *same))
    return bool(connection.scalar(wanted))


def _columns(desk: Desk, result: NewResult) -> dict[str, object]:
    for what, text in (
        ("element", result.element), ("procedure", result.procedure), ("judge", result.judge),
    ):  # fmt: skip
        roster.check_text(text, what)
    verdicts = outcome.verdicts_of(result.steps)
    return {
        "person": result.person,
        "kind": result.kind,
        "element": result.element,
        "procedure": result.procedure,
        "revision": result.revision,
        "method": result.method,
        "taken_at": when(result.taken_at),
        "taken_on": desk.local_date(result.taken_at).isoformat(),
        "examiner": result.examiner or None,
        "teacher": result.teacher or None,
        "take": None if result.take is None else to_text(asdict(result.take)),
        "judge": result.judge,
        "steps": outcome.steps_text(result.steps),
        "extras": to_text(list(result.extras)),
        "rule": to_text(asdict(result.rule)),
        "passed": int(outcome.passed(result.steps, verdicts, result.rule)),
        "procedure_sha256": result.procedure_sha256 or None,
    }


def _must_exist(
    desk: Desk,
    connection: Connection,
    links: Links,
    actor: Actor,
    results: Iterable[NewResult],
) -> None:
    known: dict[str, Person] = {}
    for result in results:
        for person in {result.person, result.examiner, result.teacher} - {""} - known.keys():
            known[person] = roster.person_of(connection, links, person, desk.vault)
        if known[result.person].erased:
            raise NotAcceptedError(
                f"{result.person}: the identity was erased; nothing can be added"
            )
        if result.kind is Kind.CHECK:
            _check_examiner(links, actor, result)


def _check_examiner(links: Links, actor: Actor, result: NewResult) -> None:
    if result.examiner not in links.ids(actor.person):
        raise NotAcceptedError("a check is recorded by its examiner; sign in as the examiner")
    if not result.element:
        raise NotAcceptedError("a check needs the programme's element it was of")
