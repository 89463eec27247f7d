"""Advice on the order that is asked for and on the rule of passing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from rehearse.book.advice import Advice
from rehearse.book.lint_steps import words_of
from rehearse.book.model import Procedure

FAST = 4.0  # words a second; hardly anyone recites faster


def advice(procedure: Procedure) -> Iterator[Advice]:
    """What is worth mending in the order and the rule of passing."""
    yield from _order(procedure)
    yield from _passing(procedure)


def _order(procedure: Procedure) -> Iterator[Advice]:
    """`after` entries that change nothing or read against the file's order."""
    before = procedure.predecessors
    rows = {step.id: row for row, step in enumerate(procedure.steps)}
    for row, step in enumerate(procedure.steps):
        if step.after is None:
            continue
        place = f"steps[{step.id}].after"
        usual = replace(step, after=None)
        steps = (*procedure.steps[:row], usual, *procedure.steps[row + 1 :])
        said_for_clarity = step.after == (procedure.steps[row - 1].id,)
        if not said_for_clarity and replace(procedure, steps=steps).predecessors == before:
            yield Advice(
                "after-idle", place, "the order is the same without it", "take the line out"
            )
            continue
        for number, name in enumerate(step.after, start=1):
            if rows[name] > row:
                fault = f"the step follows '{name}', which stands below it"
                yield Advice(
                    "after-below", f"{place}[{number}]", fault, f"move the step below '{name}'"
                )
            by_others = [other for other in step.after if name in before[other]]
            if by_others:
                fault = f"'{by_others[0]}' follows '{name}' already"
                yield Advice("after-idle", f"{place}[{number}]", fault, f"take '{name}' out")


def _passing(procedure: Procedure) -> Iterator[Advice]:
    """Rules of passing that decide nothing or cannot be met."""
    rule = procedure.pass_rule
    steps = len(procedure.steps)
    critical = sum(step.critical for step in procedure.steps)
    needed = rule.least(steps)
    decisive = critical if rule.critical == "all" else 0
    if decisive == 0 and needed == 0:
        mend = "raise the share, or mark the steps that matter 'critical: true'"
        yield Advice("pass-idle", "pass", "every take passes, even an empty one", mend)
    elif 0 < needed <= decisive:
        fault = f"the share asks for {needed} of {steps} steps, and {critical} are critical anyway"
        above = f"raise it above {critical / steps:.2f} or " if critical < steps else ""
        mend = f"{above}take it out"
        yield Advice("pass-idle", "pass.share", fault, mend)
    if rule.critical == "all" and critical == 0:
        mend = "mark the steps that matter 'critical: true', or write 'critical: none'"
        yield Advice("pass-idle", "pass.critical", "no step is critical", mend)
    if rule.critical == "none" and critical > 0:
        fault = f"{critical} critical steps may be left out and the take still passes"
        yield Advice("pass-idle", "pass.critical", fault, "write 'critical: all'")
    words = sum(len(words_of(step.say)) for step in procedure.steps)
    if rule.within is not None and words / FAST > rule.within:
        fault = f"{words} words cannot be said in {rule.within:g} seconds"
        mend = f"allow at least {math.ceil(words / FAST)} seconds"
        yield Advice("pass-short", "pass.within", fault, mend)
