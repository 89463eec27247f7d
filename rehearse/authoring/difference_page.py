"""The differences between two revisions as lines that a person reads."""

from __future__ import annotations

from collections.abc import Iterator

from rehearse.authoring.difference import Change, changes
from rehearse.book.model import Procedure
from rehearse.book.show import wrapped


def difference_page(old: Procedure, new: Procedure) -> Iterator[str]:
    """What changed, step by step, and whether the revision number says so."""
    found = changes(old, new)
    yield from wrapped(f"{new.title} ({new.id}), {_between(old, new)}", "", "")
    if not found:
        yield "  nothing differs"
        return
    for change in found:
        yield from wrapped(_line(change, new), "  ", "    ")
    yield from wrapped(_verdict(old, new, found), "  ", "    ")


def _between(old: Procedure, new: Procedure) -> str:
    before, now = old.revision, new.revision
    return f"revision {before.number} of {before.effective} to {now.number} of {now.effective}"


def _line(change: Change, new: Procedure) -> str:
    if not change.step:
        return change.text
    numbers = {step.id: at for at, step in enumerate(new.steps, start=1)}
    place = f"{numbers[change.step]} " if change.step in numbers else ""
    return f"step {place}'{change.step}': {change.text}"


def _verdict(old: Procedure, new: Procedure, found: tuple[Change, ...]) -> str:
    before, now = old.revision.number, new.revision.number
    if now < before:
        return f"The revision number went back from {before} to {now}: raise it above {before}."
    if not any(change.asked for change in found):
        return "What is asked is the same; results of the old revision say as much as before."
    if now == before:
        return (
            f"What is asked changed, but the revision number is {now} in both: raise it, so that "
            "results of the old text are known as such."
        )
    return "What is asked changed."
