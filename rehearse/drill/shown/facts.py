"""A drill's result in the words of a screen or a page, every measure with its error. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rehearse.drill.values import Answered, DrillResult, Kind, Staged
from rehearse.measured import Measured
from rehearse.record.report import clean, clock

KINDS = {
    Kind.ANSWER: "right",
    Kind.FLAWED: "not word for word",
    Kind.STALE: "no longer to be said",
    Kind.FORBIDDEN: "never to be said here",
    Kind.EARLIER: "out of its place",
    Kind.OTHER: "other talk",
}

_ENDED = {
    "finished": "to its end",
    "stopped": "stopped by the trainee",
    "device": "the sound device failed",
    "end of recording": "the recording ended first",
}

Facts = tuple[tuple[str, str], ...]


def outcome(result: DrillResult) -> str:
    """Whether the drill was passed, in words a heading can carry."""
    return "Passed" if result.passed else "Not passed"


def faults(result: DrillResult) -> tuple[str, ...]:
    """Every fault in a line of its own, in the order of the drill."""
    return tuple(
        fault
        for stage in result.stages
        for fault in (
            *stage.faults,
            *(fault for answered in stage.answers for fault in answered.faults),
        )
    )


def about(result: DrillResult) -> Facts:
    """Which drill it was, and how it ended."""
    return (
        ("Drill", f"{clean(result.drill)}, revision {result.revision}"),
        ("Seed", str(result.seed)),
        ("Ended", _ENDED.get(result.why_ended, clean(result.why_ended))),
    )


def answer_facts(answered: Answered, calm: Measured) -> Facts:
    """How an answer was given: each measure with its error and what is demanded.

    calm: the speaker's calm level, by which the answer's level is told.
    """
    return tuple(_answer_facts(answered, calm))


def _answer_facts(answered: Answered, calm: Measured) -> Iterator[tuple[str, str]]:
    limits = answered.limits
    yield "began", f"{_after(answered.reaction)}{_limit('at most', limits.within, ' s')}"
    if limits.every is not None or answered.count > 1:
        yield "right sayings", _times(answered)
    if limits.lasts:
        asked = _limit("at least", limits.lasts, " s")
        yield "went on", f"{measured(answered.went_on, ' s', 1)}{asked}"
        asked = _limit("from start to start at most", limits.every, " s")
        yield "longest silence", f"{measured(answered.silence, ' s', 1)}{asked}"
    yield "level", f"{level(answered.level, calm)}{_levels_asked(answered)}"


def _after(reaction: Measured) -> str:
    if reaction.value is None:
        return measured(reaction, " s", 2)
    if reaction.value < 0:
        early = Measured(-reaction.value, reaction.error)
        return f"{measured(early, ' s', 2)} before the cue was over"
    return f"after {measured(reaction, ' s', 2)}"


def _times(answered: Answered) -> str:
    if answered.rate.value is None:
        return str(answered.count)
    rate = measured(answered.rate, " a minute", 0)
    if answered.unevenness.value is None:
        return f"{answered.count}, {rate}"
    return f"{answered.count}, {rate}, unevenness {measured(answered.unevenness, '', 2)}"


def _levels_asked(answered: Answered) -> str:
    least = _limit("at least", answered.limits.louder, " dB", sign=True)
    return least + _limit("at most", answered.limits.calmer, " dB", sign=True)


def stage_facts(stage: Staged) -> Facts:
    """When its cue came, and when what it silenced was left off."""
    cue = "never came" if stage.cue is None else f"at {clock(stage.cue)}"
    facts = [("cue", cue)]
    if stage.stop_within is not None:
        allowed = _limit("not to be begun after", stage.stop_within, " s")
        facts.append(("left off after", f"{measured(stage.stopped, ' s', 1)}{allowed}"))
    return tuple(facts)


def voice_facts(result: DrillResult) -> Facts:
    """The voice over the whole drill, and what sound was lost."""
    facts = [
        ("Calm level", measured(result.calm, " dB over full scale", 1)),
        ("Level fell by", measured(result.drop, " dB", 1)),
        ("Pitch rose by", measured(result.strain, " semitones", 1)),
    ]
    if result.clipped:
        facts.append(("Overdriven", f"{result.clipped:.0%} of the shouts: microphone too near"))
    facts += [
        ("Sound lost", f"{lost.seconds:.2f} s at {clock(lost.time)}; times across it are void")
        for lost in result.lost
    ]
    return tuple(facts)


def level(one: Measured, calm: Measured) -> str:
    """A level over the calm voice, or over full scale when there is no calm level."""
    over = "over full scale" if calm.value is None else "over the calm voice"
    return measured(one, f" dB {over}", 1, sign=calm.value is not None)


def measured(one: Measured, unit: str, digits: int, *, sign: bool = False) -> str:
    """ "1.23 s, give or take 0.04 s", or why it could not be measured.

    unit: put behind each figure, with its own blank. sign: a plus is written too.
    """
    if one.value is None:
        return f"not measured: {clean(one.void)}" if one.void else "not measured"
    value = f"{round(one.value, digits) + 0.0:{'+' if sign else ''}.{digits}f}"  # never "-0.0"
    if not one.error:
        return f"{value}{unit}"
    # Rounded up: an error is never told smaller than it is.
    error = math.ceil(one.error * 10**digits - 1e-9) / 10**digits
    return f"{value} ± {error:.{digits}f}{unit}"


def _limit(word: str, limit: float | None, unit: str, *, sign: bool = False) -> str:
    if limit is None:
        return ""
    return f" ({word} {round(limit, 2):{'+' if sign else ''}g}{unit})"
