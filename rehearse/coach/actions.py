"""What the coach asks of the session: values, carried out at the edges."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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


Action = Say | Hush | Restart | StopListening | Finish
