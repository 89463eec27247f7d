"""The outcomes as a table of plain text, with upper bounds, and every wrong one with its words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rehearse.bench.ghosts.kinds import KINDS, Kind
from rehearse.bench.ghosts.outcome import Outcome

_HALF_HOUR = 1800.0
_TAIL = 0.05
_COUNTED = ("heard", "credited", "critical", "commands", "requests", "shouts", "stops", "blamed")
_HEADS = ("min", "begun", "ghosts", "texts", "steps", "crit.", "comm.", "asked", "shouts", "stops",
          "blamed", "bound")  # fmt: skip
_WRONG = ("credited", "requests", "shouts", "stops")


def lines(outcomes: Sequence[Outcome], *, texts: bool = False) -> Iterator[str]:
    """The table, what was wrong, and with `texts` everything that was heard."""
    yield "Sound in which nobody says a step. Bounds are one-sided 95 % limits of the rate in half"
    yield "an hour; where nothing happened that is the rule of three."
    for detected in (True, False):
        here = [found for found in outcomes if found.detected is detected]
        if here:
            yield ""
            yield from _table(here, "" if detected else "all sound taken for a voice")
    yield ""
    yield from _legend()
    for kind in KINDS.values():
        yield from _wrong(kind, outcomes)
    if texts:
        yield from _texts(outcomes)


def _table(outcomes: Sequence[Outcome], title: str) -> Iterator[str]:
    if title:
        yield title
    yield _row("", _HEADS)
    for kind in KINDS.values():
        if here := [found for found in outcomes if found.kind == kind.name]:
            yield _counted(kind.name, here)
    if bound := [found for found in outcomes if KINDS[found.kind].bound]:
        yield _counted("all but own-open", bound)


def upper_bound(events: int, seconds: float) -> float:
    """The rate per half hour that so many events in so long would exceed once in twenty times.

    Poisson's exact limit (Garwood, 1936): with no event 3.0 over the number of half hours.
    """
    if seconds <= 0:
        return math.inf
    low, high = 0.0, 10.0 + 3.0 * events
    for _ in range(60):
        middle = (low + high) / 2
        if _at_most(events, middle) > _TAIL:
            low = middle
        else:
            high = middle
    return high / (seconds / _HALF_HOUR)


def _at_most(events: int, mean: float) -> float:
    """The probability of so many events or fewer where this many are usual."""
    term = total = math.exp(-mean)
    for number in range(1, events + 1):
        term *= mean / number
        total += term
    return total


def wrong(found: Outcome) -> int:
    """How much was credited or obeyed that should not have been."""
    return sum(len(getattr(found, column)) for column in _WRONG)


def _counted(name: str, outcomes: Sequence[Outcome]) -> str:
    seconds = sum(found.seconds for found in outcomes)
    counts = {column: sum(len(getattr(found, column)) for found in outcomes) for column in _COUNTED}
    worst = max(upper_bound(counts[column], seconds) for column in _WRONG)
    begun = sum(found.begun for found in outcomes)
    ghosts = sum(found.ghosts for found in outcomes)
    return _row(name, (f"{seconds / 60:.1f}", begun, ghosts, *counts.values(), f"{worst:.1f}"))


def _row(name: str, cells: Sequence[object]) -> str:
    return f"{name:<17}" + "".join(f"{cell:>6} " for cell in cells)


def _legend() -> Iterator[str]:
    yield "begun: utterances; ghosts: refused; texts: taken for speech (talk is speech)."
    yield "steps, crit., comm.: steps credited, critical ones, commands; asked: requests obeyed."
    yield "shouts, stops: commands credited and ends obeyed, had a drill been going on."
    yield "blamed: steps called wrong, and warnings. bound: of the worst of the four."


def _wrong(kind: Kind, outcomes: Sequence[Outcome]) -> Iterator[str]:
    here = [
        found for found in outcomes if found.kind == kind.name and (wrong(found) or found.blamed)
    ]
    if not here:
        return
    yield ""
    yield f"{kind.name}: {kind.told}" + ("" if kind.bound else " (zero is not asked of it)")
    for found in sorted(here, key=lambda found: found.number):
        for column in ("credited", "requests", "blamed"):
            for what in getattr(found, column):
                yield f"    {_named(found)} {column}, {found.procedure}: {what}"
        for column in ("shouts", "stops"):
            for what in getattr(found, column):
                yield f"    {_named(found)} {column}, {found.drill}: {what}"


def _named(found: Outcome) -> str:
    return f"{found.number}" if found.detected else f"{found.number} all voiced,"


def _texts(outcomes: Sequence[Outcome]) -> Iterator[str]:
    yield ""
    for found in outcomes:
        for text in found.heard:
            yield f"{found.kind} {found.number}: {text}"
