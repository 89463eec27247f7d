"""Answers that are no commands: judged by meaning, as the steps of a procedure are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rehearse.book.model import Procedure, Step
from rehearse.drill.model import Drill, Stage
from rehearse.drill.procedure import procedure_of
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.verdict import Result, StepResult, Verdict

AssessorOf = Callable[[Procedure], Assessor]


@dataclass(frozen=True)
class Meanings:
    """What was meant in one stage. result: of its answers that are no commands; None for none."""

    result: Result | None = None

    def step(self, answer_id: str) -> StepResult | None:
        """What became of an answer; None when it is a command."""
        steps = self.result.steps if self.result else ()
        return next((step for step in steps if step.id == answer_id), None)

    def right(self, answer_id: str) -> bool:
        """Whether the answer was given."""
        step = self.step(answer_id)
        return step is not None and step.verdict is Verdict.SAID

    @property
    def forbidden(self) -> bool:
        """Whether something was said that must not be said."""
        return self.result is not None and any(extra.dangerous for extra in self.result.extras)


Meant = Callable[[Stage, Sequence[Heard]], Meanings]


def nothing_meant(_stage: Stage, _heards: Sequence[Heard]) -> Meanings:
    """For a drill all of whose answers are commands."""
    return Meanings()


class ByMeaning:
    """Judges the answers of a drill that are no commands.

    assessor_of: makes a judge for a procedure; asked for only where there is such an answer.
    """

    def __init__(self, drill: Drill, assessor_of: AssessorOf) -> None:
        self._drill = drill
        self._assessor_of = assessor_of

    def __call__(self, stage: Stage, heards: Sequence[Heard]) -> Meanings:
        """What was meant. Raises RehearseError when the judge cannot be loaded."""
        procedure = as_procedure(self._drill, stage)
        if not procedure.steps or not heards:
            return Meanings()
        assessor = self._assessor_of(procedure)
        for heard in heards:
            assessor.add(heard)
        return Meanings(assessor.result())


def as_procedure(drill: Drill, stage: Stage) -> Procedure:
    """A stage's answers that are no commands, as steps in any order."""
    steps = (
        Step(a.id, a.say, critical=a.critical, also=a.also, never=stage.never)
        for a in stage.answers
        if not a.command
    )
    return procedure_of(drill, f"{drill.id}-{stage.id}", steps)
