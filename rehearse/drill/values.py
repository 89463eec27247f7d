"""What a drill amounted to, as values: every shout, every answer, every measure with its error."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rehearse.drill.model import Answer, Drill, Outcome
from rehearse.events import Event, Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured

NO_BASELINE = Measured(None, 0.0, "no calm baseline")


@dataclass(frozen=True)
class Run:
    """One run of a drill as it was kept: all that its result follows from, but for the sound.

    headset: the tool's sounds could not reach the microphone, which heard all the time.
    calm: the speaker's calm level on this device, dB over full scale.
    latency: seconds from the moment the device was given a cue to the moment it was heard.
    events: in the order they were written; times as in the sound.
    """

    drill: Drill
    seed: int
    headset: bool
    calm: Measured
    latency: Measured
    events: tuple[Event, ...]


class Kind(StrEnum):
    """What one shout was."""

    ANSWER = "answer"  # an answer of the stage it came in
    FLAWED = "flawed"  # meant as one, with a word swapped, missing or added
    STALE = "stale"  # an answer that the cue had silenced, said after its time
    FORBIDDEN = "forbidden"  # something the stage says must never be said
    EARLIER = "earlier"  # another answer of the drill, out of its stage
    OTHER = "other"  # nothing of the drill


@dataclass(frozen=True)
class Shout:
    """One saying of one command, or one stretch of other talk.

    start, end: seconds in the take. stage: which lasted when it began; "" before the first.
    answer: "stage.answer" it was meant as; "" for other talk. why: one line, "" when right.
    level: dB over the calm voice, or over full scale when there is no baseline.
    pitch: its median, hertz. clipped: share of its samples at full scale, 0..1.
    """

    start: float
    end: float
    text: str
    stage: str
    kind: Kind
    answer: str = ""
    why: str = ""
    level: Measured = NOT_MEASURED
    pitch: Measured = NOT_MEASURED
    clipped: float = 0.0


@dataclass(frozen=True)
class Limits:
    """What the drill asked of an answer; every field as in `Answer`."""

    within: float | None = None
    every: float | None = None
    lasts: float = 0.0
    louder: float | None = None
    calmer: float | None = None

    @classmethod
    def of(cls, answer: Answer) -> Limits:
        """Those of this answer."""
        return cls(answer.within, answer.every, answer.lasts, answer.louder, answer.calmer)


@dataclass(frozen=True)
class Answered:
    """How one answer was given.

    answer: "stage.answer". verdict: as of a step; its best saying counts.
    reaction: seconds from the cue to the first word of the first right saying.
    count: right sayings. rate: of them, a minute. unevenness: the standard deviation of the times
        between them over their mean, 0 is even. silence: the longest, seconds, while it had to go
        on. went_on: seconds from its first word to the end of its last. level: the median.
    faults: one line for each demand that was not met; empty when it was given as the drill asks.
    limits: what was demanded.
    """

    answer: str
    say: str
    critical: bool
    verdict: Verdict
    reaction: Measured
    count: int
    rate: Measured
    unevenness: Measured
    silence: Measured
    went_on: Measured
    level: Measured
    faults: tuple[str, ...] = ()
    limits: Limits = Limits()


@dataclass(frozen=True)
class Staged:
    """One stage as it went.

    cue: when the trainee could know: the start of a sound without words that is heard through a
        headset, else the end of the cue; None when it never came. cue_start, cue_end: of its sound
        and words, seconds.
    ended: when the stage was over. stopped: seconds from the cue to the last of what it silenced.
    stop_within: how long that was allowed; None when the stage silences nothing.
    """

    id: str
    told: str
    cue: float | None
    cue_start: float | None
    cue_end: float | None
    ended: float
    outcome: Outcome | None
    answers: tuple[Answered, ...]
    stopped: Measured
    faults: tuple[str, ...] = ()
    stop_within: float | None = None


@dataclass(frozen=True)
class DrillResult:
    """One run of a drill.

    calm: the speaker's calm level, dB over full scale, from the baseline; not measured without.
    drop: how much the level fell from the first third of the shouts to the last, dB.
    strain: how much the pitch rose likewise, semitones.
    clipped: share of shouts that clipped. lost: where the device lost samples.
    why_ended: finished, stopped, device, end of recording.
    passed: every critical answer right and in time, every limit met, nothing forbidden said.
    """

    drill: str
    title: str
    revision: int
    seed: int
    passed: bool
    stages: tuple[Staged, ...]
    shouts: tuple[Shout, ...]
    calm: Measured
    drop: Measured
    strain: Measured
    clipped: float
    lost: tuple[Overflow, ...]
    why_ended: str
