"""A command drill as data: stages, each with its cue, what must be said to it, and what follows.

Times are seconds, levels decibels over the speaker's own calm voice.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from rehearse.book.model import Revision
from rehearse.language.additions import NONE, Additions

END = "end"  # what a branch names when nothing follows


@dataclass(frozen=True)
class Window:
    """A time drawn by the seed of each run; low and high are equal when it is fixed."""

    low: float
    high: float


@dataclass(frozen=True)
class Cue:
    """What tells the trainee that something happens.

    sound: a name in `rehearse.cues.sounds.SOUNDS`; "" for none.
    holds: seconds that the sound goes on; None for its own length.
    role: who speaks, an id of the drill's cast; "" when nobody does. says: their words. With a
        sound too, the words follow it.
    wait: from the beginning of the stage to the cue.
    """

    sound: str
    holds: float | None
    role: str
    says: str
    wait: Window


@dataclass(frozen=True)
class Answer:
    """One thing that must be said to a cue.

    say: the words; also: others that count alike.
    command: judged word by word; otherwise by meaning, as a step is.
    critical: the drill fails without it.
    within: longest time from the cue to its first word; None for no limit.
    every: longest time from the start of one saying to the start of the next; None: once is enough.
    lasts: how long it goes on, from its first word; 0 when once is enough.
    louder, calmer: least and greatest level over the speaker's calm voice, dB; None for no limit.
    """

    id: str
    say: str
    also: tuple[str, ...] = ()
    command: bool = True
    critical: bool = True
    within: float | None = None
    every: float | None = None
    lasts: float = 0.0
    louder: float | None = None
    calmer: float | None = None

    @property
    def wordings(self) -> tuple[str, ...]:
        """Every wording that counts."""
        return (self.say, *self.also)


@dataclass(frozen=True)
class Role:
    """Somebody who speaks in cues. name: as shown. voice: which of the cast's voices, from 1."""

    id: str
    name: str
    voice: int = 1


class Outcome(StrEnum):
    """How a stage ended, for its branches."""

    ANSWERED = "answered"  # every answer was said and went on as long as it must
    UNANSWERED = "unanswered"  # its time ran out
    WRONG = "wrong"  # something that must not be said was said


@dataclass(frozen=True)
class Branch:
    """What may follow a stage.

    to: the id of a stage, or `END`. on: the outcomes after which it may follow.
    chance: its weight against the other branches of the same outcome.
    """

    to: str
    on: tuple[Outcome, ...]
    chance: float = 1.0


@dataclass(frozen=True)
class Stage:
    """One condition of the drill: from its cue until it is answered or its time runs out.

    answers: in the order they must begin; a stage without any is over when its cue has been given.
    silences: ids of answers ("stage.answer") that must not be begun again once the cue was given.
    stop_within: how long after the cue they may still be said.
    never: what must not be said while the stage lasts.
    gives_up: seconds from the cue after which a stage that was not answered is over.
    """

    id: str
    cue: Cue
    answers: tuple[Answer, ...]
    then: tuple[Branch, ...]
    silences: tuple[str, ...] = ()
    stop_within: float = 2.0
    never: tuple[str, ...] = ()
    gives_up: float = 20.0


@dataclass(frozen=True)
class Drill:
    """One drill file.

    positions: crew positions it is for; empty for every one. position: the one that it was read
        for, whose doors its words name; "" when they name none.
    cast: who speaks in cues.
    stages: the first one begins.
    path: where it was read from. lexicon: the operator's own words, from the folder above.
    """

    id: str
    title: str
    aircraft: str
    language: str
    revision: Revision
    stages: tuple[Stage, ...]
    positions: tuple[str, ...] = ()
    cast: tuple[Role, ...] = ()
    topic: str = ""
    position: str = field(default="", compare=False)
    path: Path | None = field(default=None, compare=False)
    lexicon: Additions = field(default=NONE, hash=False)

    def stage(self, stage_id: str) -> Stage:
        """The stage of that id. Raises KeyError."""
        for stage in self.stages:
            if stage.id == stage_id:
                return stage
        raise KeyError(stage_id)
