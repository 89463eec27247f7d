"""The judge's answer: a verdict on every step, what was said beyond them, and whether it passes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What became of a step. The values are spelled as `rehearse score --json` prints them."""

    SAID = "said"
    INCOMPLETE = "incomplete"
    WRONG = "wrong"
    OUT_OF_ORDER = "out_of_order"
    NOT_SAID = "not_said"
    UNCLEAR = "unclear"


@dataclass(frozen=True)
class StepResult:
    """The verdict on one step and the evidence for it.

    probability: how likely it is that the step was said rightly, calibrated, 0..1.
    heard: the words the verdict rests on; "" when none.
    start, end: when they were said, seconds from the start of the take; None when nothing was.
    why: one sentence, fit to be spoken.
    missing: the canonical words that were left out, when the verdict is incomplete.
    corrected: a wrong or broken attempt came before the right saying.
    slip: the words of that attempt, when corrected.
    """

    id: str
    verdict: Verdict
    probability: float
    heard: str
    start: float | None
    end: float | None
    why: str
    missing: str = ""
    corrected: bool = False
    slip: str = ""


@dataclass(frozen=True)
class Extra:
    """Something said that belongs to no step.

    dangerous: the procedure forbids it, or it undoes a critical step.
    belongs_to: the title of the other procedure whose step it is; "" when none is known.
    """

    heard: str
    dangerous: bool
    why: str
    start: float | None = None
    end: float | None = None
    belongs_to: str = ""


@dataclass(frozen=True)
class Result:
    """The verdicts on one take so far: one `StepResult` per step, in the file's order."""

    procedure: str
    revision: int
    passed: bool
    steps: tuple[StepResult, ...]
    extras: tuple[Extra, ...]

    def step(self, step_id: str) -> StepResult:
        """The result of the step with this id. Raises KeyError when there is none."""
        for result in self.steps:
            if result.id == step_id:
                return result
        raise KeyError(step_id)
