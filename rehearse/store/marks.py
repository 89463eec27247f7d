"""Second marks: another instructor marks a take without having seen the first marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sqlalchemy import Connection, or_, select

from rehearse.judge.verdict import Verdict
from rehearse.store import kappa, outcome, reading, roster, tables
from rehearse.store.canonical import from_text, time_of, to_text
from rehearse.store.chain import Row, recorded
from rehearse.store.desk import Desk, result_row
from rehearse.store.mishaps import NotAcceptedError, NotAllowedError
from rehearse.store.permissions import Operation, allowed
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Agreement, BlindTake, Method, Person, SecondMarks


@dataclass(frozen=True)
class Marks:
    """`Store.marks`: blind second marking, and how far the markers agree."""

    _desk: Desk

    def ask(self, actor: Actor, result_id: str, person_id: str) -> None:
        """Ask somebody for a second marking. The record is closed to them until they hand it in.

        Raises:
            NotAllowedError: they examined, marked, overruled, signed or read this record, or are
                its candidate or no instructor or examiner.
            NotAcceptedError: they are asked already.
        """
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            links = Links.read(connection)
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.ASK_SECOND_MARK, row["person"])
            person = roster.person_of(connection, links, person_id, self._desk.vault)
            theirs = links.ids(person.id)
            if row["person"] in theirs or not _may_mark(person, self._desk.today()):
                who = person.staff_number or person.id
                raise NotAllowedError(f"{who}: may not mark this take; ask another instructor")
            if result_id in reading.hidden_from(connection, theirs):
                raise NotAcceptedError(f"{result_id}: {person.staff_number} is to mark it already")
            _must_be_blind(connection, row, links, theirs, person.staff_number)
            writing.add(tables.second_mark, result=result_id, verdicts=None, asked=person.id)

    def waiting(self, actor: Actor) -> tuple[BlindTake, ...]:
        """The takes that the actor is to mark, by time."""
        with self._desk.reading(actor) as connection:
            links = Links.read(connection)
            hidden = reading.hidden_from(connection, links.ids(actor.person))
            found = [_blind(result_row(connection, result), links) for result in hidden]
            return tuple(sorted(found, key=lambda take: (take.taken_at, take.result)))

    def begin(self, actor: Actor, result_id: str) -> BlindTake:
        """Take on a second marking. Until the marks are handed in, this record is closed to you.

        Raises:
            NotAllowedError: you examined, marked, overruled, signed or read this record.
        """
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            links = Links.read(connection)
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.SECOND_MARK, row["person"])
            mine = links.ids(actor.person)
            if result_id not in reading.hidden_from(connection, mine):
                _must_be_blind(connection, row, links, mine, "you")
                writing.add(tables.second_mark, result=result_id, verdicts=None)
            return _blind(row, links)

    def hand_in(self, actor: Actor, result_id: str, verdicts: Mapping[str, Verdict]) -> SecondMarks:
        """Hand in a verdict on every step; it cannot be taken back, and opens the record.

        Raises:
            NotAllowedError: you did not begin, or handed in already.
            NotAcceptedError: a step is missing or is none of this take.
        """
        with self._desk.writing(actor) as writing:
            connection = writing.connection
            links = Links.read(connection)
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.SECOND_MARK, row["person"])
            if result_id not in reading.hidden_from(connection, links.ids(actor.person)):
                raise NotAllowedError(f"{result_id}: you have no second marking of this begun")
            steps = [step.id for step in outcome.steps_of(row["steps"])]
            if set(verdicts) != set(steps):
                odd = ", ".join(sorted(set(verdicts) ^ set(steps)))
                raise NotAcceptedError(f"{result_id}: give each step one verdict; check {odd}")
            text = to_text({step: Verdict(verdicts[step]) for step in steps})
            return _marks(writing.add(tables.second_mark, result=result_id, verdicts=text), links)

    def of(self, actor: Actor, result_id: str) -> tuple[SecondMarks, ...]:
        """The second marks of a result, for those who may see its first.

        Raises:
            NotAllowedError: you are to mark this take yourself first.
        """
        with self._desk.reading(actor) as connection:
            row = result_row(connection, result_id)
            self._desk.check(connection, actor, Operation.READ_RESULTS, row["person"])
            links = Links.read(connection)
            reading.must_be_open(connection, links.ids(actor.person), result_id)
            return tuple(_handed_in(connection, links, [result_id]))

    def agreement(self, actor: Actor, result_ids: Iterable[str] | None = None) -> Agreement:
        """How the second marks of these results (all when None) agree with the first.

        The first marks are those recorded, before any overrule; a take marked a second time by
        several counts with each.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_AGREEMENT)
            links = Links.read(connection)
            hidden = reading.hidden_from(connection, links.ids(actor.person))
            wanted = None if result_ids is None else list(result_ids)
            pairs = []
            for marks in _handed_in(connection, links, wanted):
                if marks.result not in hidden:
                    steps = outcome.steps_of(result_row(connection, marks.result)["steps"])
                    pairs.append((outcome.verdicts_of(steps), marks.verdicts))
            return kappa.agreement(pairs)


def _handed_in(
    connection: Connection, links: Links, results: list[str] | None
) -> Iterable[SecondMarks]:
    table = tables.second_mark
    wanted = select(table).where(table.c.verdicts.is_not(None)).order_by(table.c.tick)
    if results is not None:
        wanted = wanted.where(table.c.result.in_(results))
    return [_marks(dict(row), links) for row in connection.execute(wanted).mappings()]


def _marks(row: Row, links: Links) -> SecondMarks:
    verdicts = {step: Verdict(verdict) for step, verdict in from_text(row["verdicts"]).items()}
    return SecondMarks(
        row["id"],
        recorded(row),
        links.one(row["actor"]),
        row["result"],
        MappingProxyType(verdicts),
    )


def _blind(row: Row, links: Links) -> BlindTake:
    return BlindTake(
        result=row["id"],
        person=links.one(row["person"]),
        element=row["element"],
        procedure=row["procedure"],
        revision=row["revision"],
        method=Method(row["method"]),
        taken_at=time_of(row["taken_at"]),
        steps=tuple(step.id for step in outcome.steps_of(row["steps"])),
        take=outcome.take_of(row["take"]),
    )


def _may_mark(person: Person, today: date) -> bool:
    works = not person.erased and (person.left_on is None or person.left_on >= today)
    return works and any(allowed(role, Operation.SECOND_MARK, own=False) for role in person.roles)


def _must_be_blind(
    connection: Connection, row: Row, links: Links, mine: frozenset[str], who: str
) -> None:
    """Refuse whoever gave or saw the marks of this result, by any way there is to see them."""
    if row["examiner"] in mine or row["actor"] in mine:
        raise NotAllowedError(f"{row['id']}: {who} gave the first marks")
    access, candidate = tables.access, links.ids(row["person"])
    read = select(access.c.id).where(
        access.c.actor.in_(mine),
        access.c.tick > row["tick"],
        or_(
            access.c.record == row["id"],
            access.c.what == "every result",
            (access.c.what.in_(["results", "export"])) & access.c.person.in_(candidate),
        ),
        access.c.what != "sound",
    )
    added = [
        select(table.c.id).where(table.c.actor.in_(mine), table.c.result == row["id"])
        for table in (tables.overrule, tables.seal, tables.remark, tables.second_mark)
    ]
    if any(connection.scalar(wanted.limit(1)) for wanted in (read, *added)):
        raise NotAllowedError(
            f"{row['id']}: its marks were seen by {who}; let somebody else mark it"
        )
