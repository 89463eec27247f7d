"""How a stage of a drill stands while it goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from rehearse.drill.model import Outcome, Stage
from rehearse.events import Heard


@dataclass(frozen=True)
class Standing:
    """How a stage stands. answered: all of it. wrong: something was said that must not be."""

    answered: bool = False
    wrong: bool = False

    @property
    def outcome(self) -> Outcome:
        """How the stage would end now."""
        if self.wrong:
            return Outcome.WRONG
        return Outcome.ANSWERED if self.answered else Outcome.UNANSWERED


class Hears(Protocol):
    """What a runner asks of whoever judges answers while a drill goes on."""

    def standing(self, stage: Stage, since: float, heards: Sequence[Heard]) -> Standing:
        """How a stage stands whose cue began at `since` seconds, after what was heard; pure."""
        ...
