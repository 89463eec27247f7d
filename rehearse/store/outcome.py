"""What counts of a result: its steps turned into text and back, overruled, passed or not. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from rehearse.judge.verdict import Verdict
from rehearse.store.canonical import from_text, to_text
from rehearse.store.mishaps import NotAcceptedError
from rehearse.store.values import PassRule, StepMark, TakeRef

_PLAIN = asdict(StepMark("", Verdict.SAID))


def steps_text(steps: Sequence[StepMark]) -> str:
    """The steps as canonical JSON; what a step leaves at its default is left out.

    Raises:
        NotAcceptedError: no steps, two with one id, or a number that is none.
    """
    ids = [step.id for step in steps]
    if not steps or len(set(ids)) < len(ids) or not all(ids):
        raise NotAcceptedError("a result needs steps, each with an id of its own")
    rows = [
        {name: value for name, value in asdict(step).items() if value != _PLAIN[name]}
        | {"id": step.id, "verdict": step.verdict}
        for step in steps
    ]
    return to_text(rows)


def steps_of(text: str) -> tuple[StepMark, ...]:
    """The steps of a text that `steps_text` made."""
    return tuple(StepMark(**{**row, "verdict": Verdict(row["verdict"])}) for row in from_text(text))


def rule_of(text: str) -> PassRule:
    """The rule in a stored text."""
    return PassRule(**from_text(text))


def take_of(text: str | None) -> TakeRef | None:
    """The take in a stored text."""
    return None if text is None else TakeRef(**from_text(text))


def verdicts_of(steps: Sequence[StepMark]) -> dict[str, Verdict]:
    """Every step's verdict as first given, in the result's order."""
    return {step.id: step.verdict for step in steps}


def passed(steps: Sequence[StepMark], verdicts: Mapping[str, Verdict], rule: PassRule) -> bool:
    """Whether these verdicts satisfy the rule; an unclear step counts as not said."""
    said = [step for step in steps if verdicts[step.id] is Verdict.SAID]
    critical = {step.id for step in steps if step.critical} - {step.id for step in said}
    if rule.critical == "all" and critical:
        return False
    if rule.within is not None and _lasted(steps) > rule.within:
        return False
    return len(said) >= math.ceil(rule.share * len(steps) - 1e-9)


def row_passed(row: Mapping[str, Any], verdicts: Mapping[str, Verdict]) -> bool:
    """Whether these verdicts satisfy the rule of a stored result's row."""
    return passed(steps_of(row["steps"]), verdicts, rule_of(row["rule"]))


def _lasted(steps: Sequence[StepMark]) -> float:
    timed = [(s.start, s.end) for s in steps if s.start is not None and s.end is not None]
    if not timed:
        return 0.0
    return max(end for _, end in timed) - min(start for start, _ in timed)


def overruled(
    verdicts: Mapping[str, Verdict], overrules: Sequence[Mapping[str, Any]]
) -> dict[str, Verdict]:
    """The verdicts after these overrule rows, which come oldest first."""
    after = dict(verdicts)
    for row in overrules:
        after[row["step"]] = Verdict(row["verdict"])
    return after
