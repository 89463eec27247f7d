"""Procedures as lines of text to read in 80 columns: a list, and one procedure in full."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from rich.cells import cell_len

from rehearse.book.model import Procedure, Step
from rehearse.safety import NOTICE

WIDTH = 80
_LABEL = 13  # columns before the text of a line that belongs to a step


def listing(procedures: Iterable[Procedure]) -> list[str]:
    """One entry a procedure under its aircraft: id, title, positions, steps and revision."""
    ordered = sorted(procedures, key=lambda procedure: (procedure.aircraft, procedure.id))
    lines: list[str] = []
    for aircraft, group in groupby(ordered, key=lambda procedure: procedure.aircraft):
        members = list(group)
        column = min(max(cell_len(procedure.id) for procedure in members), 30) + 4
        if lines:
            lines.append("")
        lines.append(aircraft)
        for procedure in members:
            lines += _entry(procedure, column)
    return lines or ["There are no procedures here."]


def page(procedure: Procedure) -> list[str]:
    """Everything the file says, in words: who, which revision, when it passes, every step."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, start=1)}
    lines = wrapped(procedure.title, "", "")
    lines.append("=" * min(cell_len(procedure.title), WIDTH))
    revision = procedure.revision
    about = (
        ("procedure", f"{procedure.id}, {procedure.aircraft}"),
        ("crew", ", ".join(procedure.positions) or "every position"),
        ("revision", f"{revision.number} of {revision.effective}, {revision.source}"),
        ("language", procedure.language),
        ("order", _order(procedure)),
        ("passes with", passes(procedure)),
    )
    for label, text in about:
        lines += labelled(label, text, 0)
    for step in procedure.steps:
        lines += ["", *_step(step, numbers)]
    return [*lines, "", *wrapped(NOTICE, "", "")]


def _entry(procedure: Procedure, column: int) -> list[str]:
    """The id in a column of its own, the title beside it, the rest below the title."""
    start = f"  {procedure.id}"
    pad = " " * column
    steps = _count(len(procedure.steps), "step")
    positions = ", ".join(procedure.positions) or "every position"
    facts = f"{steps}; {positions}; revision {procedure.revision.number}"
    if cell_len(start) > column - 2:
        return [start, *wrapped(procedure.title, pad, pad), *wrapped(facts, pad, pad)]
    first = start + " " * (column - cell_len(start))
    return [*wrapped(procedure.title, first, pad), *wrapped(facts, pad, pad)]


def _step(step: Step, numbers: dict[str, int]) -> list[str]:
    """One step: its number, its id and what it is, then its words and what belongs to them."""
    kinds = [
        word for word, true in (("CRITICAL", step.critical), ("COMMAND", step.command)) if true
    ]
    mark = f"  {' '.join(kinds)}" if kinds else ""
    lines = [f"{numbers[step.id]:3}  {step.id}{mark}", *wrapped(step.say, " " * 5, " " * 5)]
    for text in step.also:
        lines += labelled("or", text, 5)
    for text in step.never:
        lines += labelled("never", text, 5)
    if step.after is not None:
        lines += labelled("order", order_words(step.after, numbers), 5)
    lines += _demands(step)
    if step.reason:
        lines += labelled("why", step.reason, 5)
    return lines


def _demands(step: Step) -> list[str]:
    """The author's corrections to what is demanded."""
    lines: list[str] = []
    for label, texts in (("named", step.demands.named), ("spare", step.demands.spare)):
        if texts:
            lines += labelled(label, ", ".join(texts), 5)
    for text, others in step.demands.contrasts:
        lines += labelled("not", f"{', '.join(others)} for {text}", 5)
    return lines


def order_words(after: Sequence[str], numbers: dict[str, int]) -> str:
    """An `after` in words."""
    if not after:
        return "at any time"
    names = [f"{numbers[name]} ({name})" for name in after]
    listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"
    return f"any time after {'step' if len(names) == 1 else 'steps'} {listed}"


def _order(procedure: Procedure) -> str:
    if procedure.order == "strict":
        return "as listed, except where a step says otherwise"
    return "any, except where a step says what it follows"


def passes(procedure: Procedure) -> str:
    """What a take must hold to pass, in words."""
    rule = procedure.pass_rule
    steps = len(procedure.steps)
    critical = sum(step.critical for step in procedure.steps)
    least = rule.least(steps)
    asked: list[str] = []
    if rule.critical == "all" and critical:
        every = "the critical step" if critical == 1 else f"all {critical} critical steps"
        asked.append(every)
    if least == steps:
        asked = [f"all {steps} steps" if steps > 1 else "the one step"]
    elif least > 0:
        asked.append(f"at least {least} of {_count(steps, 'step')}")
    text = " and ".join(asked) or "nothing in particular"
    if rule.within is not None:
        text += f", within {rule.within:g} seconds of the first word"
    return text


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def labelled(label: str, text: str, indent: int) -> list[str]:
    """The text beside its label, in a column of its own, after this many spaces."""
    start = " " * indent + label
    column = indent + _LABEL - (5 if indent else 0)
    return wrapped(text, start + " " * (column - len(start)), " " * column)


def wrapped(text: str, first: str, rest: str) -> list[str]:
    """The text in lines of at most 80 columns, counting wide characters as two."""
    lines: list[str] = []
    line, bare = first, True
    for word in text.split():
        if not bare and cell_len(line) + 1 + cell_len(word) > WIDTH:
            lines.append(line)
            line, bare = rest, True
        line += word if bare else f" {word}"
        bare = False
        while cell_len(line) > WIDTH:
            head = _head(line)
            lines.append(head)
            line = rest + line[len(head) :]
    return [*lines, line]


def _head(line: str) -> str:
    """As much of an overlong word's line as fits."""
    while cell_len(line) > WIDTH:
        line = line[:-1]
    return line
