"""The columns of every CSV export: names, meanings and where each value comes from.

README.md in this folder lists them; a test keeps the two alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, Never, Protocol, TypeVar

from rehearse.judge.verdict import Verdict
from rehearse.paper.own_page import recent, strength
from rehearse.paper.table import Field
from rehearse.paper.values import (
    Candidate,
    CheckedStep,
    CheckRecord,
    ClassSheet,
    Column,
    ElementRecord,
    Heading,
    Outcome,
    OwnPage,
    Person,
    Practice,
    PractisedStep,
    TrainingRecord,
)
from rehearse.paper.wording import day
from rehearse.safety import NOTICE


class Headed(Protocol):
    """A record with a heading."""

    @property
    def heading(self) -> Heading:
        """What stands at its head."""


Whole_co = TypeVar("Whole_co", bound=Headed, covariant=True)
Part_co = TypeVar("Part_co", covariant=True)


@dataclass(frozen=True)
class Row(Generic[Whole_co, Part_co]):
    """A part of a record with the record it is of."""

    whole: Whole_co
    part: Part_co


@dataclass(frozen=True)
class ClassMark:
    """One candidate's outcome in one element."""

    candidate: Candidate
    column: Column
    outcome: Outcome | None


ElementRow = Row[TrainingRecord, ElementRecord]
ClassRow = Row[ClassSheet, ClassMark]
CheckRow = Row[CheckRecord, CheckedStep]
PracticeRow = Row[OwnPage, Practice]
PractisedRow = Row[OwnPage, PractisedStep]


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _seconds(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def _number(person: Person | None) -> str:
    return "" if person is None else person.staff_number


def _name(person: Person | None) -> str:
    return "" if person is None else person.name


def _origin(*, revision: str) -> tuple[Field[Row[Headed, object]], ...]:
    """The columns that close every table."""
    return (
        Field("operator", "operator's name", lambda row: row.whole.heading.operator),
        Field("aircraft", "aircraft of the report", lambda row: row.whole.heading.aircraft),
        Field("revision", revision, lambda row: row.whole.heading.revision),
        Field(
            "made",
            "when the export was made, ISO 8601 with offset",
            lambda row: row.whole.heading.local(row.whole.heading.made).isoformat(),
        ),
        Field(
            "chain_head",
            "hex digest of the store's last row",
            lambda row: row.whole.heading.chain_head,
        ),
        Field("chain_rows", "rows in the chain", lambda row: str(row.whole.heading.chain_rows)),
        Field("chain_station", "whose chain it is", lambda row: row.whole.heading.chain_station),
        Field("notice", "the safety notice", lambda _: NOTICE),
    )


ELEMENTS: tuple[Field[ElementRow], ...] = (
    Field("staff_number", "whose record it is", lambda row: row.whole.person.staff_number),
    Field("name", "the person's name", lambda row: row.whole.person.name),
    Field("as_of", "the day the standing is of", lambda row: day(row.whole.on)),
    Field("element", "the element's id", lambda row: row.part.id),
    Field("title", "the element's title", lambda row: row.part.title),
    Field("rule", "the rule reference", lambda row: row.part.rule),
    Field(
        "standing",
        "current, in its window, due this month, overdue, not yet checked, revision changed, "
        "retraining open or not passed",
        lambda row: row.part.standing.value,
    ),
    Field("checked", "day of the last check", lambda row: day(row.part.checked)),
    Field("method", "oral or practical", lambda row: row.part.method),
    Field(
        "result",
        "passed, not passed or unclear; empty before a check",
        lambda row: row.part.outcome.value if row.part.outcome else "",
    ),
    Field("examiner_number", "who examined", lambda row: _number(row.part.examiner)),
    Field("examiner", "the examiner's name", lambda row: _name(row.part.examiner)),
    Field("checked_revision", "what was checked", lambda row: row.part.revision),
    Field("valid_until", "last day it counts", lambda row: day(row.part.valid_until)),
    Field("remark", "the examiner's remark", lambda row: row.part.remark),
    Field(
        "retraining_open",
        "retraining entries not closed",
        lambda row: str(sum(one.closed is None for one in row.part.retraining)),
    ),
    Field("overrules", "verdicts overruled in the check", lambda row: str(len(row.part.overrules))),
    Field(
        "signed_by",
        "staff numbers of the signers, space between",
        lambda row: " ".join(one.signer.staff_number for one in row.part.signatures),
    ),
    *_origin(revision="revision of the training programme"),
)

CLASS_MARKS: tuple[Field[ClassRow], ...] = (
    Field("class", "the class's title", lambda row: row.whole.title),
    Field("held", "the day", lambda row: day(row.whole.held)),
    Field("place", "where", lambda row: row.whole.place),
    Field("instructor_number", "who instructed", lambda row: row.whole.instructor.staff_number),
    Field("instructor", "the instructor's name", lambda row: row.whole.instructor.name),
    Field("staff_number", "the candidate", lambda row: row.part.candidate.person.staff_number),
    Field("name", "the candidate's name", lambda row: row.part.candidate.person.name),
    Field("element", "the element's id", lambda row: row.part.column.id),
    Field("title", "the element's title", lambda row: row.part.column.title),
    Field(
        "result",
        "passed, not passed or unclear; empty when not checked",
        lambda row: row.part.outcome.value if row.part.outcome else "",
    ),
    Field("remark", "the remark on the candidate", lambda row: row.part.candidate.remark),
    *_origin(revision="revision of the training programme"),
)

CHECK_STEPS: tuple[Field[CheckRow], ...] = (
    Field("take", "the take's folder", lambda row: row.whole.take),
    Field("procedure", "the procedure's id", lambda row: row.whole.procedure),
    Field("title", "the procedure's title", lambda row: row.whole.title),
    Field(
        "started",
        "start of the check, ISO 8601 with offset",
        lambda row: row.whole.heading.local(row.whole.started).isoformat(),
    ),
    Field("staff_number", "the candidate", lambda row: row.whole.candidate.staff_number),
    Field("name", "the candidate's name", lambda row: row.whole.candidate.name),
    Field("examiner_number", "who examined", lambda row: row.whole.examiner.staff_number),
    Field("examiner", "the examiner's name", lambda row: row.whole.examiner.name),
    Field("teacher_number", "who taught, if known", lambda row: _number(row.whole.taught_by)),
    Field(
        "result",
        "of the whole check: passed, not passed or unclear",
        lambda row: row.whole.outcome.value,
    ),
    Field("step", "the step's number, from 1", lambda row: str(row.part.number)),
    Field("say", "the step's canonical sentence", lambda row: row.part.say),
    Field("critical", "yes or no", lambda row: _yes(row.part.critical)),
    Field("tool_verdict", "the tool's verdict", lambda row: row.part.verdict.value),
    Field(
        "verdict",
        "the verdict that counts: said, incomplete, wrong, out_of_order, not_said or unclear",
        lambda row: row.part.counts.value,
    ),
    Field("heard", "the words the verdict rests on", lambda row: row.part.heard),
    Field("start", "when they began, seconds into the take", lambda row: _seconds(row.part.start)),
    Field("end", "when they ended, seconds into the take", lambda row: _seconds(row.part.end)),
    Field("why", "the tool's reason", lambda row: row.part.why),
    Field("remark", "the instructor's remark", lambda row: row.part.remark),
    Field(
        "overruled_by",
        "staff number of the last to overrule",
        lambda row: row.part.overrules[-1].by.staff_number if row.part.overrules else "",
    ),
    Field(
        "overrule_reason",
        "the reason given",
        lambda row: row.part.overrules[-1].reason if row.part.overrules else "",
    ),
    Field("log_sha256", "of the take's log, hex", lambda row: row.whole.log_digest),
    Field(
        "sound_sha256",
        "of the sound, hex; empty when none is kept",
        lambda row: row.whole.sound_digest,
    ),
    *_origin(revision="revision of the procedure"),
)

PRACTICES: tuple[Field[PracticeRow], ...] = (
    Field("staff_number", "the trainee", lambda row: row.whole.person.staff_number),
    Field("name", "the trainee's name", lambda row: row.whole.person.name),
    Field(
        "started",
        "start of the take, ISO 8601 with offset",
        lambda row: row.whole.heading.local(row.part.started).isoformat(),
    ),
    Field("procedure", "the procedure's id", lambda row: row.part.procedure),
    Field("title", "the procedure's title", lambda row: row.part.title),
    Field("said", "steps said rightly", lambda row: str(row.part.said)),
    Field("steps", "steps in the procedure", lambda row: str(row.part.steps)),
    Field("passed", "yes or no", lambda row: _yes(row.part.passed)),
    Field("oral_check", "yes for a check, no for practice", lambda row: _yes(row.part.checked)),
    *_origin(revision="revision of the training programme"),
)

PRACTISED_STEPS: tuple[Field[PractisedRow], ...] = (
    Field("staff_number", "the trainee", lambda row: row.whole.person.staff_number),
    Field("name", "the trainee's name", lambda row: row.whole.person.name),
    Field("procedure", "the procedure's id", lambda row: row.part.procedure),
    Field("title", "the procedure's title", lambda row: row.part.title),
    Field("step", "the step's number, from 1", lambda row: str(row.part.number)),
    Field("say", "the step's canonical sentence", lambda row: row.part.say),
    Field("critical", "yes or no", lambda row: _yes(row.part.critical)),
    Field("tries", "recent tries that count, 10 at most", lambda row: str(len(recent(row.part)))),
    Field(
        "said",
        "how many of them were said rightly",
        lambda row: str(recent(row.part).count(Verdict.SAID)),
    ),
    Field(
        "strength",
        "(said + 1) / (tries + 2), the order of the rows",
        lambda row: f"{strength(row.part):.3f}",
    ),
    Field(
        "verdicts",
        "all verdicts, oldest first, space between",
        lambda row: " ".join(row.part.verdicts),
    ),
    *_origin(revision="revision of the training programme"),
)

TABLES: dict[str, tuple[Field[Never], ...]] = {
    "Training record": ELEMENTS,
    "Class sheet": CLASS_MARKS,
    "Oral check": CHECK_STEPS,
    "Practice": PRACTICES,
    "Practised steps": PRACTISED_STEPS,
}
