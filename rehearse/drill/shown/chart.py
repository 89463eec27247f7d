"""A drill on its time axis in drawing units: cues, limits, shouts with their levels. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rehearse.drill.shown import captions as texts
from rehearse.drill.shown import loudness as levels
from rehearse.drill.shown.axis import Axis
from rehearse.drill.shown.captions import Caption, captions
from rehearse.drill.shown.loudness import Bar, Line, asked, bar, loudness
from rehearse.drill.shown.sheet import RIGHT
from rehearse.drill.shown.track import Item, Sort, items
from rehearse.drill.values import DrillResult
from rehearse.record.report import clock

TIMES = 42.0  # where the times end
_LIMITS, _LANE, _LANES = 53.0, 6.5, 3  # where the lines of the limits stand
_LONG = 900.0  # units of an axis that needs fewer times


@dataclass(frozen=True)
class Box:
    """A cue: the box of its text, and from where to where it sounded."""

    x: float
    y: float
    width: float
    height: float
    sounds: tuple[float, float]


@dataclass(frozen=True)
class Lead:
    """From a moment on the axis to the text about it, as (x, y)."""

    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class Chart:
    """Everything on the axis.

    grid: each round level's place with its number. ticks: each round time's with its text.
    asked: levels that the drill asks for. cuts: top, bottom and what is left out.
    """

    axis: Axis
    captions: tuple[Caption, ...]
    grid: tuple[tuple[float, str], ...]
    ticks: tuple[tuple[float, str], ...]
    bars: tuple[Bar, ...]
    limits: tuple[Line, ...]
    asked: tuple[Line, ...]
    boxes: tuple[Box, ...]
    leads: tuple[Lead, ...]
    cuts: tuple[tuple[float, float, str], ...]

    @property
    def bottom(self) -> float:
        """Where all of it ends."""
        return max([self.axis.bottom, *(one.top + one.height for one in self.captions)])


def chart(result: DrillResult, top: float) -> Chart:
    """The drill on its axis, nothing above `top`."""
    shown = items(result)
    along, beside = captions(shown, top, over_calm=result.calm.value is not None)
    loud = loudness(result)
    return Chart(
        axis=along,
        captions=beside,
        grid=tuple(loud.grid()),
        ticks=tuple(_ticks(along)),
        bars=tuple(bar(result, item.shout, along, loud) for item in shown if item.shout),
        limits=tuple(_limits(shown, along)),
        asked=tuple(asked(result, along, loud)),
        boxes=tuple(_box(one, along) for one in beside if one.cue),
        leads=tuple(_lead(one, along) for one in beside),
        cuts=tuple(
            (piece.top, piece.bottom, f"{piece.end - piece.start:.1f} s cut")
            for piece in along.pieces
            if piece.cut
        ),
    )


def _ticks(along: Axis) -> Iterator[tuple[float, str]]:
    for y, second in along.seconds(5 if along.bottom - along.top > _LONG else 2):
        yield y, clock(second)[:-2]


def _box(caption: Caption, along: Axis) -> Box:
    sounds = (along.y(caption.item.start), along.y(caption.item.end))
    return Box(texts.LEFT, caption.top, RIGHT - texts.LEFT, caption.height, sounds)


def _lead(caption: Caption, along: Axis) -> Lead:
    start = (levels.RIGHT + 2, along.y(caption.item.at))
    return Lead(start, (texts.LEFT - 3, caption.top + caption.first))


def _limits(shown: Sequence[Item], along: Axis) -> Iterator[Line]:
    """The limits, side by side where they last at the same time."""
    ends: list[float] = []
    for item in sorted(shown, key=lambda one: one.start):
        if item.sort in {Sort.BEGIN, Sort.KEEP, Sort.STOP}:
            lane = next((n for n, end in enumerate(ends) if end < item.start), len(ends))
            ends[lane : lane + 1] = [item.end]
            x = _LIMITS + min(lane, _LANES - 1) * _LANE
            yield Line(x, along.y(item.start), along.y(item.end), item.sort.value, item.broken)
