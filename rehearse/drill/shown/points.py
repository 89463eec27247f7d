"""One thing to keep or to change after a drill, with the figures it rests on. Pure.

Words are put to it elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rehearse.drill.values import Answered, DrillResult, Kind, Shout, Staged
from rehearse.judge.verdict import Verdict

QUICK = 0.7  # of the time allowed; chosen by us, as all limits of praise and advice
QUICK_SECONDS = 3.0  # the time allowed where a drill sets none
FEWEST = 3  # shouts with a rhythm


class Keep(StrEnum):
    """What went well, spelled as its sentence is named in `phrases`."""

    CHANGED = "changed"
    QUICK = "quick"
    RHYTHM = "rhythm"
    LOUD = "loud"
    CALM = "calm"
    WORDS = "words"
    HELD = "held"
    SAID = "said"


class Change(StrEnum):
    """What to change, spelled likewise."""

    FORBIDDEN = "forbidden"
    STALE = "stale"
    WRONG = "wrong"
    NOT_SAID = "not_said"
    INCOMPLETE = "incomplete"
    UNCLEAR = "unclear"
    ORDER = "order"
    LATE = "late"
    SHORT = "short"
    PAUSE = "pause"
    QUIET = "quiet"
    TOO_LOUD = "too_loud"
    OTHER = "other"
    UNTIMED = "untimed"
    UNFINISHED = "unfinished"
    EARLIER = "earlier"
    SLIP = "slip"
    UNEVEN = "uneven"
    FADING = "fading"
    STRAINED = "strain"
    SLOWEST = "slowest"


BETTER = 50  # from this rank on a point is no fault, but could be better still


@dataclass(frozen=True)
class Point:
    """One thing to keep or to change.

    say: the command as the drill has it; for what must not be said, what was heard; "" for none.
    value, limit: measured and demanded, in the unit that belongs to it: seconds, decibels over the
        calm voice, semitones, a minute; None for none. why: the fault's own sentence, for OTHER.
    rank: lower is more important; from `BETTER` on it is no fault.
    """

    about: Keep | Change
    say: str = ""
    value: float | None = None
    limit: float | None = None
    why: str = ""
    rank: int = 0

    @property
    def fault(self) -> bool:
        """The drill asks for it, and it was not given."""
        return self.rank < BETTER


def answers(result: DrillResult) -> tuple[Answered, ...]:
    """The answers of every stage that was reached, as they went."""
    return tuple(answered for stage in result.stages for answered in stage.answers)


def right(answered: Answered) -> bool:
    """It was given as the drill asks."""
    return answered.verdict is Verdict.SAID and not answered.faults


def rhythmic(answered: Answered) -> bool:
    """It was to be repeated, and often enough that its shouts have a rhythm."""
    return answered.limits.every is not None and answered.count >= FEWEST


def slowness(answered: Answered) -> float | None:
    """The reaction as a share of the time allowed.

    None when it was not measured, or began before its cue was over.
    """
    reaction = answered.reaction.value
    if reaction is None or reaction < 0:
        return None
    return reaction / (answered.limits.within or QUICK_SECONDS)


def stale(result: DrillResult, stage: Staged) -> tuple[Shout, ...]:
    """What was still shouted in a stage that had silenced it."""
    return tuple(s for s in result.shouts if s.kind is Kind.STALE and s.stage == stage.id)
