"""A trainee's own page as one SVG picture, as wide as a phone and readable without colour.

For each procedure a strip: time runs to the right, the share of steps said rightly upwards; a
filled dot is a take that passed, a ring one that did not, a square round it an oral check. Below
stand the weakest steps with their last ten tries, oldest first, each drawn as its verdict's mark.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from rehearse.judge.verdict import Verdict
from rehearse.paper.lettering import Words, fitted
from rehearse.paper.letters import legible
from rehearse.paper.marks import MARKS, OF_VERDICT
from rehearse.paper.own_page import Series, recent, series, share, weakest
from rehearse.paper.template import template
from rehearse.paper.values import Heading, OwnPage, Practice, PractisedStep
from rehearse.paper.wording import counted, head_in_groups, minute, verdict
from rehearse.safety import NOTICE

WIDTH = 360  # drawing units; about a phone's width in pixels
MARGIN = 16
PLOT = 56  # height of a strip
LEFT, RIGHT = MARGIN + 34, WIDTH - MARGIN - 8  # of a strip's time axis
STRIPS = 6  # procedures drawn, the weakest
STEPS = 12  # steps drawn, the weakest
_WIDE_KINDS = frozenset({"title", "section", "quiet digits"})


@dataclass(frozen=True)
class Dot:
    """A take in a strip; `told` is what it says when pointed at."""

    x: float
    y: float
    passed: bool
    checked: bool
    told: str


@dataclass(frozen=True)
class Strip:
    """The takes of one procedure over time; `line` joins the dots."""

    top: float
    dots: tuple[Dot, ...]

    @property
    def line(self) -> str:
        """The path through the dots."""
        return "M" + " ".join(f"{dot.x:.1f} {dot.y:.1f}" for dot in self.dots)


@dataclass(frozen=True)
class Mark:
    """A verdict's mark in the row of a step's tries."""

    x: float
    y: float
    name: str


@dataclass
class _Sheet:
    """A picture being filled from the top; `y` is where the next thing goes."""

    y: float
    words: list[Words]
    strips: list[Strip]
    marks: list[Mark]
    key_dots: list[Dot]

    def write(self, text: str, size: float, kind: str, lead: float, indent: float = 0.0) -> None:
        """The text in lines that fit, each `lead` below the last."""
        width = WIDTH - 2 * MARGIN - indent
        for line in fitted(text, size, width, heavy=kind in _WIDE_KINDS):
            self.y += lead
            self.words.append(Words(MARGIN + indent, self.y, line, kind))


def own_picture(page: OwnPage) -> str:
    """The page as an SVG document, to be written as UTF-8."""
    sheet = _Sheet(MARGIN, [], [], [], [])
    sheet.write(f"Practice of {page.person.name}", 19, "title", 20)
    sheet.write(f"{page.heading.operator}, {page.heading.aircraft}", 12, "quiet", 17)
    sheet.write(page.heading.revision, 12, "quiet", 15)
    made = f"made {minute(page.heading, page.heading.made)}, {page.heading.zone}"
    sheet.write(made, 12, "quiet", 15)
    sheet.write(f"Chain head {head_in_groups(page.heading)}", 12, "quiet digits", 15)
    _draw_strips(sheet, page)
    _draw_steps(sheet, page)
    _draw_key(sheet)
    sheet.y += 8
    sheet.write(NOTICE, 11, "notice", 14)
    return template("rehearse.paper", "own_page.svg.j2").render(
        width=WIDTH,
        height=round(sheet.y + MARGIN),
        left=LEFT,
        right=RIGHT,
        plot=PLOT,
        title=f"Practice of {legible(page.person.name)}",
        told=told(page),
        sheet=sheet,
        shapes={name: Markup(shape) for name, shape in MARKS.items()},  # noqa: S704  (our own)
    )


def told(page: OwnPage) -> str:
    """The picture in words, for those who cannot see it."""
    parts = [
        f"{legible(one.title)}: {counted(len(one.practices), 'take')}, "
        f"{one.practices[-1].said} of {one.practices[-1].steps} steps in the last."
        for one in series(page)
    ]
    parts += [f"Weakest step: {legible(step.say)}." for step in weakest(page)[:1]]
    return " ".join(parts) or "No takes yet."


def _draw_strips(sheet: _Sheet, page: OwnPage) -> None:
    sheet.y += 14
    sheet.write("Share of steps said rightly", 14, "section", 18)
    _draw_dots_key(sheet)
    every = series(page)
    if not every:
        sheet.write("No takes yet.", 13, "body", 20)
    for one in every[:STRIPS]:
        _draw_strip(sheet, page.heading, one)
    if len(every) > STRIPS:
        more = counted(len(every) - STRIPS, "procedure")
        sheet.write(f"and {more} with better last takes", 12, "quiet", 18)


def _draw_dots_key(sheet: _Sheet) -> None:
    y = sheet.y + 14
    cases = (("passed", True, False), ("not passed", False, False), ("oral check", True, True))
    dots = [
        Dot(MARGIN + 7 + at * 110, y, passed, checked, word)
        for at, (word, passed, checked) in enumerate(cases)
    ]
    sheet.key_dots.extend(dots)
    sheet.words.extend(Words(dot.x + 12, y + 4, dot.told, "quiet") for dot in dots)
    sheet.y = y + 6


def _draw_strip(sheet: _Sheet, heading: Heading, one: Series) -> None:
    sheet.y += 6
    sheet.write(one.title, 13, "body", 17)
    top = sheet.y + 10
    first, last = one.practices[0].started, one.practices[-1].started
    length = (last - first).total_seconds()
    dots = []
    for practice in one.practices:
        gone = (practice.started - first).total_seconds()
        at = gone / length if length else 0.5
        x = LEFT + 5 + at * (RIGHT - LEFT - 10)
        y = top + (1 - share(practice)) * PLOT
        dots.append(Dot(x, y, practice.passed, practice.checked, _take(heading, practice)))
    sheet.strips.append(Strip(top, tuple(dots)))
    sheet.y = top + PLOT + 16
    begin, end = f"{heading.local(first):%Y-%m-%d}", f"{heading.local(last):%Y-%m-%d}"
    if begin == end:
        sheet.words.append(Words((LEFT + RIGHT) / 2, sheet.y, begin, "axis middle"))
    else:
        sheet.words.append(Words(LEFT, sheet.y, begin, "axis"))
        sheet.words.append(Words(RIGHT, sheet.y, end, "axis end"))


def _take(heading: Heading, practice: Practice) -> str:
    kind = "oral check" if practice.checked else "practice"
    passed = "passed" if practice.passed else "not passed"
    when = f"{heading.local(practice.started):%Y-%m-%d %H:%M}"
    return f"{when}: {practice.said} of {practice.steps} steps, {kind}, {passed}"


def _draw_steps(sheet: _Sheet, page: OwnPage) -> None:
    sheet.y += 14
    sheet.write("Steps to work on, weakest first", 14, "section", 18)
    sheet.write("The last ten tries, oldest first, and how many were said", 12, "quiet", 16)
    every = weakest(page)
    if not every:
        sheet.write("No step was tried yet.", 13, "body", 20)
    for place, step in enumerate(every[:STEPS], 1):
        _draw_step(sheet, place, step)
    if len(every) > STEPS:
        sheet.write(f"and {counted(len(every) - STEPS, 'step')} less weak", 12, "quiet", 18)


def _draw_step(sheet: _Sheet, place: int, step: PractisedStep) -> None:
    sheet.y += 6
    sheet.words.append(Words(MARGIN + 17, sheet.y + 17, f"{place}", "number end"))
    sheet.write(step.say, 13, "body", 17, indent=25)
    critical = ", critical" if step.critical else ""
    sheet.write(f"{step.title}, step {step.number}{critical}", 11, "quiet", 14, indent=25)
    tries = recent(step)
    sheet.y += 6
    for at, one in enumerate(tries):
        sheet.marks.append(Mark(MARGIN + 25 + at * 19, sheet.y, OF_VERDICT[one]))
    said = f"{tries.count(Verdict.SAID)} of {len(tries)}"
    sheet.words.append(Words(RIGHT + 8, sheet.y + 11.5, said, "body end"))
    sheet.y += 16


def _draw_key(sheet: _Sheet) -> None:
    sheet.y += 16
    for at, one in enumerate(Verdict):
        column, row = at % 3, at // 3
        x, y = MARGIN + column * 110, sheet.y + row * 20
        sheet.marks.append(Mark(x, y, OF_VERDICT[one]))
        sheet.words.append(Words(x + 19, y + 11.5, verdict(one), "quiet"))
    sheet.y += 40
