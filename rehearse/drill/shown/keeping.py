"""What to keep after a drill, the most telling first. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from rehearse.drill.shown.points import (
    FEWEST,
    QUICK,
    Change,
    Keep,
    Point,
    answers,
    rhythmic,
    right,
    slowness,
    stale,
)
from rehearse.drill.values import Answered, DrillResult, Kind
from rehearse.judge.verdict import Verdict

# Where praise begins. Chosen by us for a useful debrief; what decides whether a drill is passed is
# in its file.
EVEN = 0.2  # unevenness of shouts that sound like one beat
HELD = 2.0  # dB


def keeps(result: DrillResult) -> tuple[Point, ...]:
    """What went well, each of another kind, the most telling first."""
    found: dict[Keep | Change, Point] = {}
    used: set[str] = set()
    for point in (*_changed(result), *_quick(result), *_overall(result), *_said(result)):
        if point.about not in found and not (point.say and point.say in used):
            found[point.about] = point
            used.add(point.say)
    return tuple(found.values())


def _changed(result: DrillResult) -> Iterator[Point]:
    """A changed condition that was answered in time, with what was shouted before left off."""
    for stage in result.stages:
        if stage.stop_within is None or stage.faults or not stage.answers:
            continue
        first = stage.answers[0]
        if right(first) and slowness(first) is not None and not stale(result, stage):
            yield Point(Keep.CHANGED, first.say, first.reaction.value)


def _quick(result: DrillResult) -> Iterator[Point]:
    timed = [(slowness(one), one) for one in answers(result) if right(one)]
    quick = [(share, one) for share, one in timed if share is not None and share <= QUICK]
    for _, answered in sorted(quick, key=lambda pair: pair[0]):
        yield Point(Keep.QUICK, answered.say, answered.reaction.value)


def _overall(result: DrillResult) -> Iterator[Point]:
    every = answers(result)
    for answered in every:
        even = answered.unevenness.value
        if right(answered) and rhythmic(answered) and even is not None and even <= EVEN:
            yield Point(Keep.RHYTHM, value=answered.rate.value)
    if result.calm.value is not None:
        yield from _level(every)
    if len(every) > 1 and all(one.verdict is Verdict.SAID for one in every) and not _slips(result):
        yield Point(Keep.WORDS)
    shouts = sum(shout.kind is Kind.ANSWER for shout in result.shouts)
    drop = result.drop.value
    if drop is not None and shouts >= 2 * FEWEST and drop + result.drop.error <= HELD:
        yield Point(Keep.HELD)


def _level(every: tuple[Answered, ...]) -> Iterator[Point]:
    """Praise for the level where all answers that have a limit of it keep to it."""
    louder = [one for one in every if one.limits.louder is not None]
    calmer = [one for one in every if one.limits.calmer is not None]
    if calmer and all(right(one) and one.level.value is not None for one in calmer):
        yield Point(Keep.CALM)
    levels = [one.level.value for one in louder if right(one) and one.level.value is not None]
    if levels and len(levels) == len(louder):
        yield Point(Keep.LOUD, value=min(levels))


def _slips(result: DrillResult) -> bool:
    return any(shout.kind in {Kind.FLAWED, Kind.FORBIDDEN} for shout in result.shouts)


def _said(result: DrillResult) -> Iterator[Point]:
    for answered in answers(result):
        if answered.verdict is Verdict.SAID:
            yield Point(Keep.SAID, answered.say)
