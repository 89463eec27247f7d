"""The values that go into the record store and come out of it. Pure, immutable, typed.

Ids are texts such as `east-3f9a2c-17`: the station that wrote the row and its number there, so
that no two stations ever give the same one. Times are aware and in UTC; dates are local dates of
the operator's zone (`Operator.zone`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Literal

from rehearse.judge.verdict import Verdict


class Role(StrEnum):
    """What a person is to the operator's training. One person may hold several."""

    TRAINEE = "trainee"
    INSTRUCTOR = "instructor"
    EXAMINER = "examiner"
    ADMINISTRATOR = "administrator"


class Method(StrEnum):
    """How an element was checked."""

    ORAL = "oral"
    PRACTICAL = "practical"


class Kind(StrEnum):
    """What a result is for. Only a signed check and a past result count towards currency.

    A past result comes from older records and is sealed as it comes in.
    """

    PRACTICE = "practice"
    CHECK = "check"
    PAST = "past"


class Text(StrEnum):
    """The kinds of personal content: kept beside the chain, so that they can be erased."""

    IDENTITY = "identity"
    CREDENTIAL = "credential"
    REMARK = "remark"
    SOUND = "sound"


@dataclass(frozen=True)
class Actor:
    """Who does something, and as what. Only `Store.sign_in` makes one that a store accepts.

    proof: the store's own mark that this person gave the PIN for this role.
    """

    person: str
    role: Role
    proof: str = field(repr=False)


@dataclass(frozen=True)
class NewPerson:
    """A person as the operator's administrator enters or changes it.

    staff_number: the operator's own, unique among those who have not left.
    positions, aircraft: what the person works as and on; may be empty.
    """

    staff_number: str
    name: str
    roles: frozenset[Role]
    positions: tuple[str, ...] = ()
    aircraft: tuple[str, ...] = ()


@dataclass(frozen=True)
class Person:
    """A person as the store knows it now.

    staff_number, name: "" once the identity has been erased.
    left_on: the last day with the operator; None while working there.
    """

    id: str
    staff_number: str
    name: str
    roles: frozenset[Role]
    positions: tuple[str, ...]
    aircraft: tuple[str, ...]
    left_on: date | None = None
    erased: bool = False


@dataclass(frozen=True)
class StepMark:
    """One step of a result with its verdict and evidence, as the judge or the examiner gave it.

    probability, heard, start, end, why, missing, corrected: as in `rehearse.judge.verdict`.
    """

    id: str
    verdict: Verdict
    critical: bool = False
    probability: float | None = None
    heard: str = ""
    start: float | None = None
    end: float | None = None
    why: str = ""
    missing: str = ""
    corrected: bool = False


@dataclass(frozen=True)
class PassRule:
    """When the steps make a pass; the same meaning as in a procedure file."""

    critical: Literal["all", "none"] = "all"
    share: float = 1.0
    within: float | None = None


@dataclass(frozen=True)
class TakeRef:
    """Where a result's take lies: its folder's name, and sums over its log and its sound.

    log_sha256, sound_sha256: 64 hexadecimal digits; the latter "" when no sound was kept.
    drawn: how the take's procedure came to be asked, as a draw tells it; "" when it was chosen.
    """

    folder: str
    log_sha256: str
    sound_sha256: str = ""
    drawn: str = ""


@dataclass(frozen=True)
class NewResult:
    """A result to be recorded. Whether it passed follows from `steps` and `rule`.

    person: who was heard.
    element: the training programme's element; "" for practice outside the programme.
    taken_at: when the take began (aware); its local date in the operator's zone counts.
    examiner, teacher: persons' ids; "" when there was none. A check needs an examiner.
    steps: at least one; what has no steps of its own has one called `whole` (see `whole`).
    extras: what was said beyond the steps, one sentence each.
    judge: what gave the verdicts, such as "rehearse 0.5.0"; "" for a person.
    procedure_sha256: the checksum of exactly what was asked, 64 hexadecimal digits; "" where it is
        not known.
    """

    person: str
    kind: Kind
    element: str
    procedure: str
    revision: int
    method: Method
    taken_at: datetime
    steps: tuple[StepMark, ...]
    rule: PassRule = PassRule()
    examiner: str = ""
    teacher: str = ""
    extras: tuple[str, ...] = ()
    take: TakeRef | None = None
    judge: str = ""
    procedure_sha256: str = ""


def whole(*, passed: bool, why: str = "") -> tuple[StepMark, ...]:
    """The one step of a result that has none: a practical check, a result from older records."""
    verdict = Verdict.SAID if passed else Verdict.NOT_SAID
    return (StepMark("whole", verdict, critical=True, why=why),)


@dataclass(frozen=True)
class Result:
    """A result as first recorded; it never changes. `passed` is what it was before overrules."""

    id: str
    recorded_at: datetime
    recorded_by: str
    person: str
    kind: Kind
    element: str
    procedure: str
    revision: int
    method: Method
    taken_at: datetime
    taken_on: date
    steps: tuple[StepMark, ...]
    rule: PassRule
    examiner: str
    teacher: str
    extras: tuple[str, ...]
    take: TakeRef | None
    judge: str
    passed: bool
    procedure_sha256: str = ""


@dataclass(frozen=True)
class Overrule:
    """An instructor's verdict in place of another; both stay.

    after_seal: a signed correction, made when the result was sealed already.
    """

    id: str
    at: datetime
    by: str
    result: str
    step: str
    was: Verdict
    verdict: Verdict
    reason: str
    after_seal: bool


@dataclass(frozen=True)
class Remark:
    """Free text on a result; "" once erased. `second`: where in the take, or None."""

    id: str
    at: datetime
    by: str
    result: str
    text: str
    second: float | None = None


@dataclass(frozen=True)
class Head:
    """The end of one station's chain: how many rows it has and the last one's hash, 64 hex digits.

    Printed on signed reports as `str(head)`; `Head.parse` reads it back.
    """

    station: str
    number: int
    hash: str

    def __str__(self) -> str:
        return f"{self.station}:{self.number}:{self.hash}"

    @classmethod
    def parse(cls, text: str) -> Head:
        """The head in a text that `str` made. Raises ValueError when it is none."""
        station, number, digest = text.strip().split(":")
        if not station or len(bytes.fromhex(digest)) != 32:
            raise ValueError(f"{text!r} is no chain head")
        return cls(station, int(number), digest.lower())


@dataclass(frozen=True)
class Signature:
    """One signing occasion: a person sealed these results with their key.

    results: what was sealed; empty when a correction was signed.
    head: the chain when it was signed.
    warnings: what the signer was warned of and signed all the same.
    public_key, value: Ed25519, hexadecimal.
    """

    id: str
    at: datetime
    by: str
    results: tuple[str, ...]
    head: Head
    warnings: tuple[str, ...]
    public_key: str
    value: str


@dataclass(frozen=True)
class Record:
    """A result with all that was added to it, and what counts now.

    verdicts: every step's verdict that counts now, in the result's order.
    overrules: all of them, oldest first; those after the seal are the corrections.
    uncovered: ids of overrules that another station made without knowing of the seal; they do
        not count and are shown.
    """

    result: Result
    verdicts: Mapping[str, Verdict]
    passed: bool
    overrules: tuple[Overrule, ...]
    uncovered: tuple[str, ...]
    remarks: tuple[Remark, ...]
    signature: Signature | None
    sound_kept: bool


@dataclass(frozen=True)
class BlindTake:
    """What a second marker may see before handing in: the take, never a mark on it."""

    result: str
    person: str
    element: str
    procedure: str
    revision: int
    method: Method
    taken_at: datetime
    steps: tuple[str, ...]
    take: TakeRef | None


@dataclass(frozen=True)
class SecondMarks:
    """A second marker's own verdicts on a take, handed in blind."""

    id: str
    at: datetime
    by: str
    result: str
    verdicts: Mapping[str, Verdict]


@dataclass(frozen=True)
class Agreement:
    """How far two markers agree beyond chance: Cohen's kappa over steps.

    kappa: None when it is not defined (both used one and the same verdict throughout).
    low, high: 95 % interval; None with fewer than two takes or an undefined kappa.
    agreed: share of steps with the same verdict, 0..1.
    """

    takes: int
    steps: int
    agreed: float
    kappa: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Retraining:
    """A failed element: until it is closed, neither that check nor a later pass counts.

    void: a signed correction turned the failure into a pass, so the entry never mattered.
    """

    id: str
    person: str
    element: str
    result: str
    failed_at: datetime
    closed_at: datetime | None = None
    closed_by: str = ""
    how: str = ""
    void: bool = False


@dataclass(frozen=True)
class Consent:
    """A person's word on keeping something of them, given or withdrawn; the last one holds."""

    id: str
    at: datetime
    by: str
    person: str
    kind: Text
    given: bool


@dataclass(frozen=True)
class Access:
    """Somebody read something of another person.

    what: sound, result, results (all of the person's), every result (person is ""), or export.
    """

    id: str
    at: datetime
    by: str
    person: str
    what: str
    record: str
    purpose: str


@dataclass(frozen=True)
class SignInAttempt:
    """Somebody tried a PIN. person: "" for an unknown staff number, which is not kept."""

    id: str
    at: datetime
    person: str
    opened: bool


@dataclass(frozen=True)
class Retention:
    """How many days personal content of a kind is kept; None for as long as the record."""

    kind: Text
    days: int | None


@dataclass(frozen=True)
class Erased:
    """What an erasure or `tidy` took away: how many contents of each kind.

    named: ids of rows whose text, which stays on record, names the person who was erased.
    """

    counts: Mapping[Text, int]
    named: tuple[str, ...] = ()


@dataclass(frozen=True)
class Incident:
    """Something the store noticed or was put through: clock set back, restored, merged."""

    id: str
    at: datetime
    by: str
    kind: str
    text: str


@dataclass(frozen=True)
class Fault:
    """The first row of a chain that is not as it was written.

    table: where it was noticed; number: the row's place in its station's chain.
    """

    table: str
    station: str
    number: int
    why: str

    def __str__(self) -> str:
        return f"{self.table}, row {self.number} of {self.station}: {self.why}"


@dataclass(frozen=True)
class Verification:
    """What `verify` found. Sound when `fault` is None.

    rows: chained rows that were read; contents: personal contents whose digests were compared.
    """

    fault: Fault | None
    rows: int
    contents: int
    signatures: int
    heads: tuple[Head, ...]


@dataclass(frozen=True)
class Merged:
    """What a merge brought in; all nothing when there was nothing new.

    rows: chained rows that were new. linked: pairs of ids that turned out to be one person.
    erased: personal contents that went because the other station had erased them.
    """

    rows: int
    linked: tuple[tuple[str, str], ...]
    erased: int


@dataclass(frozen=True)
class PersonExport:
    """Everything the store holds about one person, as plain JSON-ready values.

    rows: per table, one mapping per row, personal content in clear.
    sounds: FLAC bytes by the id of their result.
    notice: the safety notice.
    """

    person: Person
    rows: Mapping[str, tuple[Mapping[str, object], ...]]
    sounds: Mapping[str, bytes] = field(repr=False)
    notice: str
