"""How far the trainee has come: which steps had their turn and which one comes next."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from rehearse.book.model import Procedure, Step
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict


def attempted(result: Result) -> frozenset[str]:
    """The ids of the steps of which anything was heard, rightly or wrongly."""
    return frozenset(step.id for step in result.steps if step.verdict is not Verdict.NOT_SAID)


def upcoming(procedure: Procedure, result: Result, skipped: AbstractSet[str]) -> Step | None:
    """The step whose turn it is; None when every step had its turn.

    The first one after the furthest attempted step for which everything it must follow had its
    turn, and only then one that was passed over: the trainee is ahead of it and hears of it in
    the debrief.
    """
    had = attempted(result) | skipped
    furthest = max((at for at, step in enumerate(procedure.steps) if step.id in had), default=-1)
    ahead = [step for step in procedure.steps[furthest + 1 :] if step.id not in had]
    passed_over = [step for step in procedure.steps[: furthest + 1] if step.id not in had]
    ready = [step for step in ahead if procedure.predecessors[step.id] <= had]
    return next(iter([*ready, *ahead, *passed_over]), None)


def latest(result: Result) -> StepResult | None:
    """The attempted step that was spoken last; None before anything was."""
    heard = [step for step in result.steps if step.verdict is not Verdict.NOT_SAID]
    return max(heard, key=lambda step: (step.end is not None, step.end or 0.0), default=None)


def at_the_end(procedure: Procedure, result: Result, skipped: AbstractSet[str]) -> bool:
    """Whether nothing more is to be expected.

    Either every step had its turn, or the last one was spoken and it belongs at the very end. A
    last step that is not clearly said counts only when the one before it had its turn, so that a
    half-heard sentence does not close the take.
    """
    had = attempted(result) | skipped
    if all(step.id in had for step in procedure.steps):
        return True
    last = procedure.steps[-1]
    others = {step.id for step in procedure.steps[:-1]}
    if last.id not in had or not others <= procedure.predecessors[last.id]:
        return False
    if last.id in skipped or procedure.steps[-2].id in had:
        return True
    spoken = latest(result)
    return spoken is not None and spoken.id == last.id and spoken.verdict is Verdict.SAID


def all_said(result: Result) -> bool:
    """Whether every step was said, and nothing is left to mend."""
    return all(step.verdict is Verdict.SAID for step in result.steps)


def same_breath(one: StepResult | Extra, other: StepResult | Extra) -> bool:
    """Whether two findings rest on the same stretch of speech, by time or, without, by words."""
    if one.start is None or one.end is None or other.start is None or other.end is None:
        return bool(one.heard and other.heard) and (
            one.heard in other.heard or other.heard in one.heard
        )
    return one.start < other.end and other.start < one.end


def told_as_step(extra: Extra, result: Result) -> bool:
    """Whether a wrong step already tells what this extra says: both rest on the same words."""
    return any(step.verdict is Verdict.WRONG and same_breath(extra, step) for step in result.steps)
