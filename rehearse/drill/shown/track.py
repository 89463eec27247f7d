"""What a picture of a drill shows on its time axis, in seconds, with its texts. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from rehearse.coach.wording import first_words
from rehearse.drill.model import Outcome
from rehearse.drill.shown.facts import KINDS
from rehearse.drill.shown.points import stale
from rehearse.drill.values import Answered, DrillResult, Kind, Shout, Staged
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured


class Sort(StrEnum):
    """What stands on the axis; a shout is told apart by its kind."""

    CUE = "cue"
    BEGIN = "begin"  # until when an answer must begin
    KEEP = "keep"  # until when it must go on
    STOP = "stop"  # until when an old command may still be said
    OVER = "over"  # the stage ended
    SHOUT = "shout"
    LOST = "lost"  # the device lost sound


@dataclass(frozen=True)
class Item:
    """One thing on the axis.

    start, end: seconds; a limit ends when its time is up. at: the moment that its text belongs to.
    text: what it says; notes: what else, a line each. broken: a limit that was not kept.
    shout: of a shout, what was measured.
    """

    sort: Sort
    start: float
    end: float
    at: float
    text: str
    notes: tuple[str, ...] = ()
    broken: bool = False
    shout: Shout | None = None


_ENDED = {
    Outcome.ANSWERED: "answered",
    Outcome.UNANSWERED: "time ran out",
    Outcome.WRONG: "something wrong was said",
}


def items(result: DrillResult) -> tuple[Item, ...]:
    """Everything in order of its moment."""
    found = [item for stage in result.stages for item in _stage(result, stage)]
    found += _shouts(result)
    found += [
        Item(Sort.LOST, lost.time, lost.time, lost.time, f"{lost.seconds:.2f} s of sound lost")
        for lost in result.lost
    ]
    return tuple(sorted(found, key=lambda item: item.at))


def _stage(result: DrillResult, stage: Staged) -> Iterator[Item]:
    if stage.cue is None:
        return
    start = stage.cue if stage.cue_start is None else stage.cue_start
    end = stage.cue if stage.cue_end is None else stage.cue_end
    yield Item(Sort.CUE, start, end, start, stage.told)
    if stage.stop_within is not None:
        until = stage.cue + stage.stop_within
        broken = bool(stale(result, stage))
        text = f"left off by now ({round(stage.stop_within, 2):g} s)"
        yield Item(Sort.STOP, stage.cue, until, until, text, broken=broken)
    for answered in stage.answers:
        name = f"“{first_words(answered.say)}” " if len(stage.answers) > 1 else ""
        yield from _limits(stage.cue, answered, name)
    if stage.outcome is not None:
        text = f"over: {_ENDED[stage.outcome]}"
        yield Item(Sort.OVER, stage.ended, stage.ended, stage.ended, text)


def _limits(cue: float, answered: Answered, name: str) -> Iterator[Item]:
    limits, reaction = answered.limits, answered.reaction.value
    if limits.within is not None:
        until = cue + limits.within
        never = answered.verdict is Verdict.NOT_SAID
        broken = never or _certainly(answered.reaction, limits.within)
        text = f"{name or 'begun '}by now ({round(limits.within, 2):g} s)"
        yield Item(Sort.BEGIN, cue, until, until, text, broken=broken)
    if limits.lasts and reaction is not None:
        began = cue + reaction
        until = began + limits.lasts
        went_on = answered.went_on
        broken = went_on.value is not None and went_on.value + went_on.error < limits.lasts
        text = f"{name or 'kept on '}until now ({round(limits.lasts, 2):g} s)"
        yield Item(Sort.KEEP, began, until, until, text, broken=broken)


def _certainly(measured: Measured, limit: float) -> bool:
    """It is over the limit, whatever its error."""
    return measured.value is not None and measured.value - measured.error > limit


def _shouts(result: DrillResult) -> Iterator[Item]:
    """Every shout; a right one that repeats the one before it says only that."""
    before: Shout | None = None
    for shout in sorted(result.shouts, key=lambda shout: shout.start):
        again = before is not None and _same(before, shout)
        notes = [shout.why] if shout.why else []
        if not shout.why and shout.kind not in {Kind.ANSWER, Kind.OTHER}:
            notes.append(KINDS[shout.kind])
        if shout.clipped:
            notes.append("overdriven")
        text = "again" if again else shout.text
        yield Item(Sort.SHOUT, shout.start, shout.end, shout.start, text, tuple(notes), shout=shout)
        before = shout


def _same(before: Shout, shout: Shout) -> bool:
    one = (before.kind, before.stage, before.answer)
    return shout.kind is Kind.ANSWER and one == (shout.kind, shout.stage, shout.answer)
