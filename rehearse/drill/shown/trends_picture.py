"""The past drills of one person as one picture, as wide as a phone and readable without colour.

For each drill a strip for each measure: runs stand side by side, the newest on the right; a filled
dot is a run that passed, a ring one that did not, its whisker the error. What could not be measured
is a small cross on the floor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from rehearse.drill.shown.facts import measured
from rehearse.drill.shown.sheet import MARGIN, RIGHT, WIDTH, Sheet
from rehearse.drill.shown.trends import MEASURES, Measure, Past, Series, Trend, Turn, series, trend
from rehearse.measured import Measured
from rehearse.paper.lettering import Words
from rehearse.paper.letters import legible
from rehearse.paper.template import template
from rehearse.paper.wording import counted

MOST = 24  # runs drawn, the newest
DRILLS = 6  # drills drawn, those that were run last
PLOT = 52.0  # height of a strip
LEFT, END = MARGIN + 42.0, RIGHT - 10.0  # where the first and last dots stand


@dataclass(frozen=True)
class Dot:
    """A run in a strip. low, high: the ends of its error; told: all of it in words."""

    x: float
    y: float
    low: float
    high: float
    passed: bool
    told: str


@dataclass(frozen=True)
class Strip:
    """One measure over the runs of one drill.

    lines: paths through dots that follow each other. crosses: where it was not measured.
    """

    top: float
    bottom: float
    dots: tuple[Dot, ...]
    crosses: tuple[float, ...]
    lines: tuple[str, ...]


def trends_picture(past: Iterable[Past], name: str = "") -> str:
    """The drills as an SVG document, to be written as UTF-8; `paper.png` makes it a PNG.

    name: whose drills they are; "" when the picture is not to tell.
    """
    every = series(past)
    sheet = Sheet()
    title = f"Drills of {legible(name)}" if name else "Drills over time"
    sheet.write(title, "title")
    strips = [strip for one in every[:DRILLS] for strip in _series(sheet, one)]
    if not every:
        sheet.y += 6
        sheet.write("No drills yet.")
    if len(every) > DRILLS:
        sheet.y += 8
        sheet.write(f"and {counted(len(every) - DRILLS, 'drill')} run longer ago", "quiet")
    samples = _key(sheet)
    sheet.foot()
    return template("rehearse.drill.shown", "trends.svg.j2").render(
        width=WIDTH,
        height=round(sheet.y),
        title=title,
        told=told(every),
        left=MARGIN + 34,
        right=RIGHT,
        strips=strips,
        samples=samples,
        words=sheet.words,
    )


def told(every: Sequence[Series]) -> str:
    """The picture in words, for those who cannot see it."""
    parts = []
    for one in every:
        passed = sum(turn.passed for turn in one.turns)
        parts.append(f"{legible(one.title)}: passed {passed} of {len(one.turns)}.")
        parts += [f"{measure.name}: {measure.told(trend(one, measure))}." for measure in MEASURES]
    return " ".join(parts) or "No drills yet."


def _series(sheet: Sheet, one: Series) -> list[Strip]:
    shown = one.turns[-MOST:]
    passed = sum(turn.passed for turn in one.turns)
    sheet.y += 14
    sheet.write(one.title, "section")
    runs = f"passed {passed} of {len(one.turns)}"
    runs += f", the last {MOST} are drawn" if len(one.turns) > MOST else ""
    sheet.write(runs, "quiet")
    strips = [_strip(sheet, one, shown, measure) for measure in MEASURES]
    first, last = f"{shown[0].started:%Y-%m-%d}", f"{shown[-1].started:%Y-%m-%d}"
    sheet.y += 15
    if first == last:
        sheet.words.append(Words((LEFT + END) / 2, sheet.y, first, "notice middle"))
    else:
        sheet.words.append(Words(MARGIN + 34, sheet.y, first, "notice"))
        sheet.words.append(Words(RIGHT, sheet.y, last, "notice end"))
    return strips


def _strip(sheet: Sheet, one: Series, shown: Sequence[Turn], measure: Measure) -> Strip:
    found = [measure.of(turn) for turn in shown]
    sheet.y += 6
    sheet.write(_heading(one, found[-1], measure), "quiet")
    low, high = _ends(found)
    top = sheet.y + 8
    bottom = sheet.y = top + PLOT
    for level, y in ((high, top), (low, bottom)):
        sheet.words.append(Words(MARGIN + 30, y + 4, f"{level:g}", "notice end"))

    def height(value: float) -> float:
        share = (min(max(value, low), high) - low) / (high - low)
        return bottom - share * (bottom - top)

    places = _places(len(shown))
    dots = [
        _dot(x, turn, value, height, measure)
        for x, turn, value in zip(places, shown, found, strict=True)
    ]
    crosses = tuple(x for x, dot in zip(places, dots, strict=True) if dot is None)
    return Strip(top, bottom, tuple(dot for dot in dots if dot), crosses, tuple(_lines(dots)))


def _heading(one: Series, last: Measured, measure: Measure) -> str:
    heading = f"{measure.name}: last {measured(last, measure.unit, measure.digits)}"
    change = trend(one, measure)
    return heading if change is Trend.UNKNOWN else f"{heading}, {measure.told(change)}"


def _places(count: int) -> list[float]:
    """Where so many dots stand: side by side over the whole width, one alone in the middle."""
    if count == 1:
        return [(LEFT + END) / 2]
    return [LEFT + at * (END - LEFT) / (count - 1) for at in range(count)]


def _dot(
    x: float, turn: Turn, one: Measured, height: Callable[[float], float], measure: Measure
) -> Dot | None:
    """The run's dot; None when it was not measured."""
    if one.value is None:
        return None
    low, high = height(one.value - one.error), height(one.value + one.error)
    return Dot(x, height(one.value), low, high, turn.passed, _run(turn, one, measure))


def _run(turn: Turn, value: Measured, measure: Measure) -> str:
    passed = "passed" if turn.passed else "not passed"
    shown = measured(value, measure.unit, measure.digits)
    return f"{turn.started:%Y-%m-%d %H:%M}: {shown}, {passed}"


def _ends(found: Sequence[Measured]) -> tuple[float, float]:
    """Round ends of a scale that holds every value, nought included."""
    values = [one.value for one in found if one.value is not None] or [0.0]
    return _round(min(0.0, *values)), _round(max(0.0, *values)) or 1.0


def _round(value: float) -> float:
    """The next of 1, 2, 3, 5 times a power of ten, away from nought."""
    if not value:
        return 0.0
    power = 10.0 ** math.floor(math.log10(abs(value)))
    step = next(step for step in (1.0, 2.0, 3.0, 5.0, 10.0) if step * power >= abs(value) - 1e-9)
    return math.copysign(round(step * power, 6), value)


def _lines(dots: Sequence[Dot | None]) -> Iterable[str]:
    """Paths through dots with nothing unmeasured between them."""
    run: list[Dot] = []
    for dot in [*dots, None]:
        if dot is not None:
            run.append(dot)
            continue
        if len(run) > 1:
            yield "M" + "L".join(f"{one.x:.1f} {one.y:.1f}" for one in run)
        run = []


def _key(sheet: Sheet) -> list[Dot]:
    sheet.y += 20
    samples = []
    for at, (word, passed) in enumerate((("passed", True), ("not passed", False))):
        x = MARGIN + 7 + at * 90
        samples.append(Dot(x, sheet.y, sheet.y + 6, sheet.y - 6, passed, word))
        sheet.words.append(Words(x + 12, sheet.y + 4, word, "quiet"))
    sheet.words.append(Words(MARGIN + 190, sheet.y + 4, "× not measured", "quiet"))
    sheet.y += 8
    return samples
