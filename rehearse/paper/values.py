"""What the reports are made from: plain values that say exactly what is shown.

Dates are the operator's local dates. Moments are timezone-aware and are shown in `Heading.zone`.
Texts may be in any script; what cannot be printed is named, see `letters.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rehearse.judge.verdict import Verdict


class Paper(StrEnum):
    """The size of a sheet, spelled as the typesetter names it."""

    A4 = "a4"
    LETTER = "us-letter"


class Outcome(StrEnum):
    """The result of a check of one element. What is unclear waits for the instructor."""

    PASSED = "passed"
    NOT_PASSED = "not passed"
    UNCLEAR = "unclear"


class Standing(StrEnum):
    """Whether an element counts on the day of the report."""

    CURRENT = "current"
    IN_WINDOW = "in its window"
    DUE = "due this month"
    OVERDUE = "overdue"
    NOT_YET = "not yet checked"
    STALE = "revision changed"
    RETRAINING = "retraining open"
    NOT_PASSED = "not passed"


@dataclass(frozen=True)
class Heading:
    """What stands at the head of every sheet of a report.

    operator, aircraft: names as they are printed; operator may be "". revision: of the programme,
    procedure or register.
    chain_head: hex digest of the store's last row, "" for what is not made from a store;
    chain_rows: how many rows the chain has.
    chain_station: whose chain it is, so that the head can be given to `records verify`.
    made: when the report was made, timezone-aware. zone: IANA name of the operator's zone.
    """

    operator: str
    aircraft: str
    revision: str
    chain_head: str
    chain_rows: int
    made: datetime
    zone: str
    chain_station: str = ""

    def local(self, moment: datetime) -> datetime:
        """The moment in the operator's zone.

        Raises:
            ValueError: the moment has no zone, or the heading's zone is not known.
        """
        if moment.tzinfo is None:
            raise ValueError(f"{moment.isoformat()} has no time zone; give one")
        try:
            zone = ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError) as error:
            raise ValueError(f"{self.zone!r} is no time zone; name one as Europe/London") from error
        return moment.astimezone(zone)


@dataclass(frozen=True)
class Person:
    """A person as a report names them. Positions and aircraft may be empty."""

    staff_number: str
    name: str
    positions: tuple[str, ...] = ()
    aircraft: tuple[str, ...] = ()


@dataclass(frozen=True)
class Signature:
    """Who signed what. `fingerprint`: hex digest of the signer's public key.

    covers: what was signed, in words, as "Doors, check of 2026-10-03".
    warning: what the signer was warned of, as that examiner and teacher are the same; or "".
    """

    signer: Person
    role: str
    signed: datetime
    fingerprint: str
    covers: str = ""
    warning: str = ""


@dataclass(frozen=True)
class Overrule:
    """An instructor's verdict in place of the tool's; both stay on the record.

    about: the step, in words.
    """

    about: str
    tool: Verdict
    instructor: Verdict
    reason: str
    by: Person
    at: datetime


@dataclass(frozen=True)
class Retraining:
    """What was to be trained again after a check. `closed` is None while it is open."""

    what: str
    opened: date
    closed: date | None = None
    closed_by: Person | None = None


@dataclass(frozen=True)
class ElementRecord:
    """One element of the programme and its last check; the check's fields are None before one.

    rule: the text of the rule reference. method: "oral", "practical".
    revision: of the procedure that was checked.
    """

    id: str
    title: str
    standing: Standing
    rule: str = ""
    checked: date | None = None
    method: str = ""
    outcome: Outcome | None = None
    examiner: Person | None = None
    revision: str = ""
    valid_until: date | None = None
    remark: str = ""
    retraining: tuple[Retraining, ...] = ()
    overrules: tuple[Overrule, ...] = ()
    signatures: tuple[Signature, ...] = ()


@dataclass(frozen=True)
class TrainingRecord:
    """One person's training record on a date: every element that applies, in programme order."""

    heading: Heading
    person: Person
    on: date
    elements: tuple[ElementRecord, ...]


@dataclass(frozen=True)
class Column:
    """An element of a class sheet."""

    id: str
    title: str


@dataclass(frozen=True)
class Candidate:
    """One row of a class sheet; `outcomes` has one entry per column, None when not checked."""

    person: Person
    outcomes: tuple[Outcome | None, ...]
    remark: str = ""


@dataclass(frozen=True)
class OpenPoint:
    """A step whose verdict is left to the instructor. `second`: seconds into the take."""

    candidate: Person
    element: str
    step: str
    heard: str
    second: float | None
    take: str


@dataclass(frozen=True)
class ClassSheet:
    """What a class showed on one day. `title` names the class, `place` may be empty."""

    heading: Heading
    title: str
    held: date
    instructor: Person
    columns: tuple[Column, ...]
    candidates: tuple[Candidate, ...]
    open_points: tuple[OpenPoint, ...] = ()
    place: str = ""
    signatures: tuple[Signature, ...] = ()

    def __post_init__(self) -> None:
        for candidate in self.candidates:
            if len(candidate.outcomes) != len(self.columns):
                raise ValueError(
                    f"{candidate.person.staff_number}: {len(candidate.outcomes)} outcomes for "
                    f"{len(self.columns)} elements; give one for each, None when not checked"
                )


@dataclass(frozen=True)
class CheckedStep:
    """One step of an oral check: the tool's verdict, its evidence, and the instructor's word.

    heard: the words the verdict rests on, "" when none; start, end: seconds into the take.
    why: one sentence. overrules: oldest first; the last one counts.
    """

    number: int
    say: str
    verdict: Verdict
    critical: bool = False
    heard: str = ""
    start: float | None = None
    end: float | None = None
    why: str = ""
    remark: str = ""
    overrules: tuple[Overrule, ...] = ()

    @property
    def counts(self) -> Verdict:
        """The verdict that counts: the last overrule's, else the tool's."""
        return self.overrules[-1].instructor if self.overrules else self.verdict


@dataclass(frozen=True)
class Beyond:
    """Something said that belongs to no step; dangerous when the procedure forbids it."""

    heard: str
    dangerous: bool
    second: float | None = None
    why: str = ""


@dataclass(frozen=True)
class CheckRecord:
    """One oral check.

    facts: what else is told of it, as names and values: consent, order and seed, second marks.
    take: the folder's name. log_digest, sound_digest: sha256 in hex; "" when none was kept.
    reasons: why it passed or did not, one short sentence each.
    """

    heading: Heading
    procedure: str
    title: str
    candidate: Person
    examiner: Person
    started: datetime
    outcome: Outcome
    steps: tuple[CheckedStep, ...]
    take: str
    log_digest: str
    sound_digest: str = ""
    taught_by: Person | None = None
    facts: tuple[tuple[str, str], ...] = ()
    reasons: tuple[str, ...] = ()
    beyond: tuple[Beyond, ...] = ()
    remarks: tuple[str, ...] = ()
    signatures: tuple[Signature, ...] = ()


@dataclass(frozen=True)
class Practice:
    """One take of a trainee. said of steps: how many steps were said rightly.

    checked: it was an oral check, not practice.
    """

    started: datetime
    procedure: str
    title: str
    said: int
    steps: int
    passed: bool
    checked: bool = False


@dataclass(frozen=True)
class PractisedStep:
    """One step over a trainee's takes; `verdicts` oldest first, at least one."""

    procedure: str
    title: str
    number: int
    say: str
    critical: bool
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True)
class OwnPage:
    """A trainee's own results: every take, in any order, and every step that was tried."""

    heading: Heading
    person: Person
    practices: tuple[Practice, ...]
    steps: tuple[PractisedStep, ...]
