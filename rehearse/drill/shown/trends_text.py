"""The past drills of one person as lines of text in 80 columns."""

from __future__ import annotations

from collections.abc import Iterable

from rehearse.book.show import wrapped
from rehearse.drill.shown.facts import measured
from rehearse.drill.shown.trends import MEASURES, Past, Series, Turn, series, trend
from rehearse.measured import Measured
from rehearse.paper.letters import legible
from rehearse.safety import NOTICE

_COLUMNS = (15, 15, 13)  # of the three measures


def trends_text(past: Iterable[Past]) -> str:
    """Every run of every drill, and how the last runs compare with the first."""
    lines: list[str] = []
    for one in series(past):
        lines += [*_series(one), ""]
    if not lines:
        lines = ["No drills yet.", ""]
    return "\n".join(line.rstrip() for line in [*lines, *wrapped(NOTICE, "", "")]) + "\n"


def _series(one: Series) -> list[str]:
    passed = sum(turn.passed for turn in one.turns)
    head = f"{legible(one.title)} ({legible(one.drill)})"
    lines = [*wrapped(head, "", "  "), f"  passed {passed} of {len(one.turns)}", ""]
    names = ("reaction", "level", "unevenness")
    heads = "".join(f"{name:<{w}}" for name, w in zip(names, _COLUMNS, strict=True))
    lines.append(f"  {'started':<18}{'':<12}{heads}")
    lines += [_turn(turn) for turn in one.turns]
    lines.append("")
    for measure in MEASURES:
        lines += wrapped(f"{measure.name}: {measure.told(trend(one, measure))}", "  ", "    ")
    return lines


def _turn(turn: Turn) -> str:
    passed = "passed" if turn.passed else "not passed"
    found = ((measure, measure.of(turn)) for measure in MEASURES)
    figures = [_figure(one, measure.unit, measure.digits) for measure, one in found]
    columns = "".join(f"{text:<{w}}" for text, w in zip(figures, _COLUMNS, strict=True))
    return f"  {turn.started:%Y-%m-%d %H:%M}  {passed:<12}{columns}"


def _figure(one: Measured, unit: str, digits: int) -> str:
    return "-" if one.value is None else measured(one, unit, digits)
