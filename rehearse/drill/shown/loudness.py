"""How loud each shout of a drill was, as bars on a scale. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.drill.shown.axis import Axis
from rehearse.drill.shown.facts import level
from rehearse.drill.shown.points import answers
from rehearse.drill.values import DrillResult, Shout, Staged
from rehearse.record.report import clean, clock

LEFT, RIGHT = 76.0, 140.0  # where the levels stand
_LEAST = 3.0  # height of a bar


@dataclass(frozen=True)
class Bar:
    """A shout: as long as it was loud, as high as it took. told: all of it in words."""

    x: float
    y: float
    width: float
    height: float
    kind: str
    told: str


@dataclass(frozen=True)
class Line:
    """A line of a limit, from `top` to `bottom`; sort: which limit."""

    x: float
    top: float
    bottom: float
    sort: str
    broken: bool = False


@dataclass(frozen=True)
class Loudness:
    """From a level to its place; `low`, `high` and `zero`, from which bars grow, in decibels."""

    low: float
    high: float
    zero: float

    def x(self, decibels: float) -> float:
        """Where a level stands; one beyond the ends stands at the end."""
        share = (min(max(decibels, self.low), self.high) - self.low) / (self.high - self.low)
        return LEFT + share * (RIGHT - LEFT)

    def grid(self) -> Iterator[tuple[float, str]]:
        """Round levels, each with its place."""
        step = 10 if self.high - self.low <= 30 else 20
        for decibels in range(int(self.low), int(self.high) + 1, step):
            yield self.x(decibels), str(decibels)


def loudness(result: DrillResult) -> Loudness:
    """The scale of a drill: over the calm voice, or over full scale when it is not known."""
    if result.calm.value is None:
        return Loudness(-60.0, 0.0, -60.0)
    limits = [answered.limits for answered in answers(result)]
    levels = [shout.level.value for shout in result.shouts]
    levels += [limit for one in limits for limit in (one.louder, one.calmer)]
    known = [decibels for decibels in levels if decibels is not None]
    low = 10.0 * math.floor(min([0.0, *known]) / 10.0)
    high = 10.0 * math.ceil(max([20.0, *known]) / 10.0)
    return Loudness(low, high, 0.0)


def bar(result: DrillResult, shout: Shout, along: Axis, loud: Loudness) -> Bar:
    """A shout as a bar; one without a level is narrow and hollow."""
    y = along.y(shout.start)
    height = max(along.y(shout.end) - y, _LEAST)
    told = f"{clock(shout.start)}: “{clean(shout.text)}”, {level(shout.level, result.calm)}"
    zero = loud.x(loud.zero)
    if shout.level.value is None:
        return Bar(zero, y, 4.0, height, f"{shout.kind.value} unknown", told)
    left, right = sorted((zero, loud.x(shout.level.value)))
    return Bar(left, y, max(right - left, 1.5), height, shout.kind.value, told)


def asked(result: DrillResult, along: Axis, loud: Loudness) -> Iterator[Line]:
    """The least and greatest levels asked for, as long as their stage lasts."""
    if result.calm.value is None:
        return
    for stage in result.stages:
        if stage.cue is not None:
            top, bottom = along.y(stage.cue), along.y(stage.ended)
            for sort, decibels in sorted(_asked(stage)):
                yield Line(loud.x(decibels), top, bottom, sort)


def _asked(stage: Staged) -> set[tuple[str, float]]:
    least = {("least", one.limits.louder) for one in stage.answers}
    most = {("most", one.limits.calmer) for one in stage.answers}
    return {(sort, decibels) for sort, decibels in least | most if decibels is not None}
