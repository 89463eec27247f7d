"""A drill as far as its file could be read, with the words that its steps lend it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.faults import Faults, Mark
from rehearse.book.fields import Placed
from rehearse.book.model import Step
from rehearse.drill.model import END, Outcome
from rehearse.register.entries import Found

StepOf = Callable[[Found], Step | None]


@dataclass(frozen=True)
class AnswerDraft:
    """One answer. id: "" when it could not be read. step: whose words it has, if any.

    wordings: what counts as it, `say` first. never: what its step forbids.
    """

    found: Found
    id: str
    step: Step | None
    wordings: tuple[Placed[str], ...]
    never: tuple[Placed[str], ...]

    @property
    def id_mark(self) -> Mark:
        """Where its id stands, or the step that lends it one."""
        return self.found.mark_of("id" if "id" in self.found.values else "step")


@dataclass(frozen=True)
class BranchDraft:
    """One branch. to: "" when it could not be read."""

    found: Found
    to: str
    on: tuple[Outcome, ...]


@dataclass(frozen=True)
class StageDraft:
    """One stage. never: its own, then those of its answers' steps."""

    found: Found
    id: str
    answers: tuple[AnswerDraft, ...]
    never: tuple[Placed[str], ...]
    then: tuple[BranchDraft, ...]

    @property
    def outcomes(self) -> frozenset[Outcome]:
        """How it can end."""
        ways = {Outcome.ANSWERED}
        if self.answers:
            ways.add(Outcome.UNANSWERED)
        if self.never:
            ways.add(Outcome.WRONG)
        return frozenset(ways)

    @property
    def follows(self) -> frozenset[str]:
        """The ids of what may follow it, `END` among them."""
        ids = {branch.to for branch in self.then if self.outcomes & {*branch.on}}
        open_ended = self.outcomes - {outcome for branch in self.then for outcome in branch.on}
        return frozenset(ids | ({END} if open_ended else set()))


@dataclass(frozen=True)
class DrillDraft:
    """One file. position: whom it was read for; "" when its words are the same for everybody."""

    top: Found
    stages: tuple[StageDraft, ...]
    position: str
    path: Path


def stage_draft(stage: Found, step_of: StepOf, faults: Faults) -> StageDraft:
    """The stage with its answers' words."""
    answers = tuple(_answer(answer, step_of, faults) for answer in stage.entries("answers"))
    own: tuple[Placed[str], ...] = stage.values.get("never", ())
    lent = tuple(placed for answer in answers for placed in answer.never)
    then = tuple(map(_branch, stage.entries("then")))
    return StageDraft(stage, stage.one("id"), answers, (*own, *lent), then)


def _answer(answer: Found, step_of: StepOf, faults: Faults) -> AnswerDraft:
    step = step_of(answer) if "step" in answer.values else None
    also: tuple[Placed[str], ...] = answer.values.get("also", ())
    mark = answer.mark_of("step")
    if step is not None:
        _refuse_doubles(answer, faults)
        said = tuple(Placed(text, mark) for text in step.wordings)
        never = tuple(Placed(text, mark) for text in step.never)
        return AnswerDraft(answer, answer.one("id") or step.id, step, (*said, *also), never)
    own = (answer.values["say"],) if "say" in answer.values else ()
    if not own and "step" not in answer.values:
        mend = "add 'say: ...', or 'step: PROCEDURE.STEP'"
        faults.add(answer.mark, answer.field, "the answer has no words", mend)
    if own and not answer.one("id"):
        faults.add(answer.mark, f"{answer.field}.id", "the key is missing", "add a line 'id: ...'")
    return AnswerDraft(answer, answer.one("id"), None, (*own, *also), ())


def _refuse_doubles(answer: Found, faults: Faults) -> None:
    """What the step says already would stand twice, and could differ."""
    for name in ("say", "command"):
        if name in answer.values:
            fault = "the step of the procedure says that already"
            mend = f"take out '{name}' or 'step'"
            faults.add(answer.mark_of(name), f"{answer.field}.{name}", fault, mend)


def _branch(branch: Found) -> BranchDraft:
    on = tuple(map(Outcome, branch.several("if"))) or tuple(Outcome)
    return BranchDraft(branch, branch.one("to"), on)
