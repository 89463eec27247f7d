"""One run of a drill as one picture, as wide as a phone and readable without colour.

Time runs down. On the left stand the limits, beside them each shout as a bar as long as it was loud
and as high as it took, on the right the cues and what was shouted. All figures, each with its error
and what the drill asks for, stand below.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from rehearse.drill.shown import loudness
from rehearse.drill.shown.chart import TIMES, Chart, chart
from rehearse.drill.shown.facts import (
    KINDS,
    Facts,
    about,
    answer_facts,
    outcome,
    stage_facts,
    voice_facts,
)
from rehearse.drill.shown.loudness import Bar, Line
from rehearse.drill.shown.points import answers
from rehearse.drill.shown.sheet import MARGIN, OF_KIND, SHAPES, WIDTH, Mark, Sheet
from rehearse.drill.values import Answered, DrillResult, Kind
from rehearse.paper.lettering import Words
from rehearse.paper.letters import legible
from rehearse.paper.marks import OF_VERDICT
from rehearse.paper.template import template
from rehearse.record.report import WORDS

_KEY_ROW = 19.0
_ASKED = {"least": "at least as loud as this", "most": "at most as loud as this"}


def picture(result: DrillResult, facts: Facts = ()) -> str:
    """The run as an SVG document, to be written as UTF-8; `paper.png` makes it a PNG.

    facts: what else is told of the run, as the day or the take.
    """
    sheet = Sheet()
    sheet.head(result, (*about(result), *facts))
    sheet.y += 4
    sheet.write(outcome(result), "section", mark="tick" if result.passed else "cross")
    sheet.y += 22
    head = sheet.y
    shown = chart(result, sheet.y + 22)
    sheet.y = shown.bottom + 10
    key = _key(sheet, result, shown)
    _measures(sheet, result)
    sheet.foot()
    return template("rehearse.drill.shown", "drill.svg.j2").render(
        width=WIDTH,
        height=round(sheet.y),
        title=legible(result.title),
        told=told(result),
        head=head,
        level_of="over calm voice" if result.calm.value is not None else "full scale",
        chart=shown,
        times=TIMES,
        levels=(loudness.LEFT, loudness.RIGHT),
        words=[*sheet.words, *(w for caption in shown.captions for w in caption.words())],
        marks=[*sheet.marks, *(c.mark for c in shown.captions if c.mark)],
        key=key,
        shapes={name: Markup(shape) for name, shape in SHAPES.items()},  # noqa: S704  (our own)
    )


def told(result: DrillResult) -> str:
    """The picture in words, for those who cannot see it."""
    parts = [f"{outcome(result)}."]
    for stage in result.stages:
        parts.append(f"{legible(stage.told)}: {len(stage.answers)} to be answered.")
        for answered in stage.answers:
            facts = "; ".join(f"{n} {v}" for n, v in answer_facts(answered, result.calm))
            parts.append(f"{legible(answered.say)} {WORDS[answered.verdict]}; {facts}.")
    return " ".join(parts)


@dataclass(frozen=True)
class Key:
    """Samples of what the picture is made of."""

    bars: tuple[Bar, ...]
    lines: tuple[Line, ...]


def _key(sheet: Sheet, result: DrillResult, shown: Chart) -> Key:
    """What the bars and lines mean, only those that occur."""
    kinds = {shout.kind for shout in result.shouts}
    sorts = {line.sort for line in shown.asked}
    bars, lines = [], []
    for kind in (kind for kind in Kind if kind in kinds):
        bars.append(Bar(MARGIN, sheet.y + 4, 24, 11, kind.value, KINDS[kind]))
        if OF_KIND[kind]:
            sheet.marks.append(Mark(MARGIN + 32, sheet.y + 2.5, OF_KIND[kind]))
        _named(sheet, KINDS[kind])
    for sort in (sort for sort in _ASKED if sort in sorts):
        lines.append(Line(MARGIN + 12, sheet.y + 2, sheet.y + 17, sort))
        _named(sheet, _ASKED[sort])
    return Key(tuple(bars), tuple(lines))


def _named(sheet: Sheet, name: str) -> None:
    sheet.words.append(Words(MARGIN + 51, sheet.y + 13.5, name, "quiet"))
    sheet.y += _KEY_ROW


def _measures(sheet: Sheet, result: DrillResult) -> None:
    sheet.y += 8
    sheet.write("Measured", "section")
    for stage in result.stages:
        sheet.y += 8
        sheet.write(stage.told, "stage")
        for name, value in stage_facts(stage):
            sheet.write(f"{name}: {value}", "quiet", 20)
        for fault in stage.faults:
            sheet.write(fault, "fault", 0, "warning")
        for answered in stage.answers:
            _answer(sheet, result, answered)
    if not answers(result):
        sheet.write("No answer was asked for.", "quiet")
    sheet.y += 8
    sheet.write("Voice", "stage")
    for name, value in voice_facts(result):
        sheet.write(f"{name}: {value}", "quiet", 20)


def _answer(sheet: Sheet, result: DrillResult, answered: Answered) -> None:
    sheet.y += 4
    sheet.write(answered.say, "body", mark=OF_VERDICT[answered.verdict])
    sheet.write(WORDS[answered.verdict], "quiet", 20)
    for name, value in answer_facts(answered, result.calm):
        sheet.write(f"{name}: {value}", "quiet", 20)
    for fault in answered.faults:
        sheet.write(fault, "fault", 0, "warning")
