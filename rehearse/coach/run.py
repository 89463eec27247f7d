"""What the coach remembers of one run through the procedure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum

from rehearse.coach.actions import Say
from rehearse.coach.progress import attempted
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict


class Rung(IntEnum):
    """How much of a step the coach has given away."""

    NONE = 0
    NUDGE = 1
    FIRST_WORDS = 2
    WHOLE_STEP = 3


Saying = tuple[str, float | None]  # a step's id and when its evidence begins


@dataclass(frozen=True)
class Run:
    """Memory of one run; a new one begins when the trainee starts over.

    spoke: the trainee has said anything.
    skipped: steps the trainee asked to skip; they stay not said.
    corrected: each wrong saying that was corrected.
    warned: each forbidden action (words and time) that was warned of.
    asked: unclear steps that the trainee was asked to say again.
    again: the step just corrected, until it is said or the trainee goes on.
    had: the steps of which something had been heard by the last utterance.
    rungs: how much help each step had.
    owed: a reply to a request that waits until nobody speaks.
    last: what the coach said last, for "say again".
    """

    spoke: bool = False
    skipped: frozenset[str] = frozenset()
    corrected: frozenset[Saying] = frozenset()
    warned: frozenset[Saying] = frozenset()
    asked: frozenset[str] = frozenset()
    again: str | None = None
    had: frozenset[str] = frozenset()
    rungs: Mapping[str, Rung] = field(default_factory=dict)
    owed: Say | None = None
    last: Say | None = None

    def corrections(self, step_id: str) -> int:
        """How many wrong sayings of this step were corrected."""
        return sum(corrected == step_id for corrected, _ in self.corrected)

    def rung(self, step_id: str) -> Rung:
        """How much help this step had."""
        return self.rungs.get(step_id, Rung.NONE)

    def helped(self, step_id: str, rung: Rung) -> Run:
        """With a step helped up to a rung."""
        return replace(self, rungs={**self.rungs, step_id: rung})

    def with_correction(self, step: StepResult) -> Run:
        """With a wrong saying corrected; what it was waiting for is that step now."""
        told = self.corrected | {(step.id, step.start)}
        return replace(self, corrected=told, again=step.id).helped(step.id, Rung.FIRST_WORDS)

    def with_warning(self, extra: Extra) -> Run:
        """With a forbidden action warned of."""
        return replace(self, warned=self.warned | {(extra.heard, extra.start)})

    def with_question(self, step_id: str) -> Run:
        """With an unclear step asked for."""
        return replace(self, asked=self.asked | {step_id})

    def after_utterance(self, result: Result) -> Run:
        """After an utterance that is no request; `result` judges it.

        A reply that was still owed is dropped: the trainee has gone on. So is the wait for a
        corrected step once it is said or another step is begun. Where the whole step was
        already given and did not help, it may be given once more.
        """
        had = attempted(result)
        again = self.again
        if again is not None:
            gone_on = bool(had - self.had - {again})
            again = None if gone_on or result.step(again).verdict is Verdict.SAID else again
        rungs = {step_id: min(rung, Rung.FIRST_WORDS) for step_id, rung in self.rungs.items()}
        return replace(self, spoke=True, had=had, again=again, owed=None, rungs=rungs)
