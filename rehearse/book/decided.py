"""Advice beside what was decided about it: a weakness that is known and kept is no surprise."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.beside import DECISIONS
from rehearse.book.decisions import Decision, decisions_beside
from rehearse.book.model import Procedure
from rehearse.errors import Problem

_STEP = re.compile(r"steps\[([A-Za-z0-9-]+)\]")


@dataclass(frozen=True)
class Weighed:
    """One piece of advice; `decision` is None while nobody decided about it."""

    problem: Problem
    decision: Decision | None = None


def weigh(
    procedure: Procedure, problems: Sequence[Problem], looked_for: Collection[str]
) -> list[Weighed]:
    """The advice on a procedure with the decisions beside it, then decisions about nothing.

    looked_for: the codes of what was looked for at all; a decision about another says nothing.

    Raises:
        BookError: the file of decisions has faults.
    """
    if procedure.path is None:
        return [Weighed(problem) for problem in problems]
    known = {
        (each.warning, each.step): each
        for each in decisions_beside(procedure.path)
        if each.procedure == procedure.id
    }
    found = [Weighed(problem, known.get((problem.code, step_of(problem)))) for problem in problems]
    used = {weighed.decision for weighed in found}
    idle = [each for each in known.values() if each not in used and each.warning in looked_for]
    return found + [Weighed(_idle(each, procedure)) for each in idle]


def step_of(problem: Problem) -> str:
    """The id of the step that a piece of advice is about; "" for the procedure itself."""
    match = _STEP.match(problem.field)
    return match[1] if match else ""


def _idle(decision: Decision, procedure: Procedure) -> Problem:
    about = f"step '{decision.step}' of {procedure.id}" if decision.step else procedure.id
    file = (procedure.path or Path(procedure.id)).with_name(DECISIONS)
    fault = f"'{decision.warning}' is not told of {about} any more"
    mark = decision.mark
    return Problem(
        file, mark.line, mark.column, "decisions", fault, "take the decision out", "decision-idle"
    )
