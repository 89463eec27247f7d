"""What the coach asks of the session: values, carried out at the edges."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rehearse.events import StageOver


class Purpose(StrEnum):
    """Why something is said; it goes into the log beside the prompt's text."""

    WELCOME = "welcome"
    NUDGE = "nudge"  # first rung: no word of the step
    FIRST_WORDS = "first words"  # second rung
    WHOLE_STEP = "whole step"  # third rung
    CORRECTION = "correction"
    ASK = "ask"  # an unclear step, please once more
    REPLY = "reply"  # to a spoken request
    DEBRIEF = "debrief"


@dataclass(frozen=True)
class Tick:
    """Nothing happened but time going by. The session sends a few a second."""

    time: float


@dataclass(frozen=True)
class Say:
    """Speak `text`. The coach gives the next one only after this one has ended."""

    text: str
    purpose: Purpose


@dataclass(frozen=True)
class Hush:
    """Stop speaking at once: the trainee has begun to speak."""


@dataclass(frozen=True)
class Restart:
    """The trainee starts over: utterances before this no longer count."""


@dataclass(frozen=True)
class StopListening:
    """The verdicts are final: what is said from now on is neither heard nor judged."""


@dataclass(frozen=True)
class Finish:
    """The take is over and the debrief spoken. `why` is as in `rehearse.events.Ended`."""

    why: str


@dataclass(frozen=True)
class GiveCue:
    """Let a drill's cue be heard: its sound, then its words; `CueStarted` and `CueEnded` follow.

    It comes after whatever is being spoken, and `Hush` cuts it short.

    stage: which stage it opens. told: what it tells, for whoever reads.
    sound: a name in `rehearse.cues.sounds.SOUNDS`, "" for none; holds: seconds that it goes on,
        None for its own length. says: words, "" for none. voice: who says them, from 1.
    """

    stage: str
    told: str
    sound: str = ""
    holds: float | None = None
    says: str = ""
    voice: int = 1


@dataclass(frozen=True)
class Note:
    """Write what was decided, not heard, into the take; it does not come back as an event."""

    event: StageOver


Action = Say | Hush | Restart | StopListening | Finish | GiveCue | Note
