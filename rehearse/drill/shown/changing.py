"""What to change after a drill, most important first. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from rehearse.drill.scoring.telling import LOST
from rehearse.drill.shown.points import (
    BETTER,
    QUICK,
    Change,
    Point,
    answers,
    rhythmic,
    slowness,
    stale,
)
from rehearse.drill.values import Answered, DrillResult, Kind, Shout
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured

# Where small faults begin that no drill file asks about. Chosen by us for a useful debrief.
UNEVEN = 0.35  # unevenness
FADING = 4.0  # dB
STRAINED = 2.0  # semitones
_OF_OTHERS = 20  # what a fault of an answer that is not critical ranks lower

# Faults before which no drill passes, worst first.
_RANKS = {
    name: rank
    for rank, name in enumerate(
        "forbidden stale wrong not_said incomplete unclear late short pause too_loud quiet order "
        "other untimed".split()
    )
}
_OF_VERDICT = {
    Verdict.WRONG: Change.WRONG,
    Verdict.NOT_SAID: Change.NOT_SAID,
    Verdict.INCOMPLETE: Change.INCOMPLETE,
    Verdict.UNCLEAR: Change.UNCLEAR,
    Verdict.OUT_OF_ORDER: Change.ORDER,
}


def changes(result: DrillResult) -> tuple[Point, ...]:
    """What to change: faults first, then what could be better still."""
    found = [*_forbidden(result), *_stages(result), *_better(result)]
    if result.why_ended != "finished":
        found.append(Point(Change.UNFINISHED, rank=BETTER - 1))
    return tuple(sorted(found, key=lambda point: point.rank))


def _forbidden(result: DrillResult) -> Iterator[Point]:
    for shout in result.shouts:
        if shout.kind is Kind.FORBIDDEN:
            yield Point(Change.FORBIDDEN, shout.text, rank=_RANKS["forbidden"])


def _stages(result: DrillResult) -> Iterator[Point]:
    for stage in result.stages:
        gone_on = stale(result, stage)
        if gone_on:
            yield Point(
                Change.STALE,
                _command(result, gone_on[0]),
                stage.stopped.value,
                stage.stop_within,
                rank=_RANKS["stale"],
            )
        for answered in stage.answers:
            yield from _answer(result, answered)
        forbidden = any(s.kind is Kind.FORBIDDEN and s.stage == stage.id for s in result.shouts)
        if stage.faults and not gone_on and not forbidden:
            yield Point(Change.OTHER, why=stage.faults[0], rank=_RANKS["other"])


def _command(result: DrillResult, shout: Shout) -> str:
    """The command that a shout was meant as, in the drill's words where they are known."""
    says = {answered.answer: answered.say for answered in answers(result)}
    return says.get(shout.answer, shout.text)


def _answer(result: DrillResult, answered: Answered) -> Iterator[Point]:
    found = list(_faults(result, answered))
    for point in found:
        rank = _RANKS[point.about.value] + (0 if answered.critical else _OF_OTHERS)
        yield Point(point.about, answered.say, point.value, point.limit, point.why, rank)


def _faults(result: DrillResult, answered: Answered) -> Iterator[Point]:
    """The faults of an answer; their rank is left open."""
    if answered.verdict is not Verdict.SAID:
        yield Point(_OF_VERDICT[answered.verdict])
        return
    if not answered.faults:
        return
    limits, level = answered.limits, answered.level
    told = [
        _over(Change.LATE, answered.reaction, limits.within),
        _under(Change.SHORT, answered.went_on, limits.lasts or None),
        _over(Change.PAUSE, answered.silence, limits.every),
    ]
    if result.calm.value is not None:
        told.append(_over(Change.TOO_LOUD, level, limits.calmer))
        told.append(_under(Change.QUIET, level, limits.louder))
    certain = [point for point in told if point is not None]
    void = any(one.void == LOST for one in (answered.reaction, answered.went_on))
    only_void = void and len(answered.faults) == 1
    other = Point(Change.UNTIMED) if only_void else Point(Change.OTHER, why=answered.faults[0])
    yield from certain or [other]


# As a drill is scored, a limit is broken only where the error cannot make up for it.


def _over(about: Change, measured: Measured, limit: float | None) -> Point | None:
    if measured.value is None or limit is None or measured.value - measured.error <= limit:
        return None
    return Point(about, value=measured.value, limit=limit)


def _under(about: Change, measured: Measured, limit: float | None) -> Point | None:
    if measured.value is None or limit is None or measured.value + measured.error >= limit:
        return None
    return Point(about, value=measured.value, limit=limit)


def _better(result: DrillResult) -> Iterator[Point]:
    """What is no fault by the drill's file and could still be better."""
    for shout in result.shouts:
        if shout.kind is Kind.EARLIER:
            yield Point(Change.EARLIER, _command(result, shout), rank=BETTER)
        if shout.kind is Kind.FLAWED:
            yield Point(Change.SLIP, _command(result, shout), rank=BETTER + 1)
    for answered in answers(result):
        if rhythmic(answered) and (answered.unevenness.value or 0.0) > UNEVEN:
            yield Point(Change.UNEVEN, answered.say, answered.unevenness.value, rank=BETTER + 2)
    if (result.drop.value or 0.0) - result.drop.error > FADING:
        yield Point(Change.FADING, value=result.drop.value, rank=BETTER + 3)
    if (result.strain.value or 0.0) - result.strain.error > STRAINED:
        yield Point(Change.STRAINED, value=result.strain.value, rank=BETTER + 4)
    slow = [(slowness(one) or 0.0, one) for one in answers(result)]
    share, slowest = max(slow, key=lambda pair: pair[0], default=(0.0, None))
    if slowest is not None and share > QUICK:
        yield Point(Change.SLOWEST, slowest.say, slowest.reaction.value, rank=BETTER + 5)
