"""The past drills of one person: reaction, level, rhythm, and whether they passed. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from statistics import median

from rehearse.drill.shown.points import answers, rhythmic
from rehearse.drill.values import DrillResult, Kind
from rehearse.measured import Measured

FEW = 3  # runs at each end that are compared


@dataclass(frozen=True)
class Past:
    """A run that is over. started: timezone-aware; shown in the zone it carries."""

    started: datetime
    result: DrillResult


@dataclass(frozen=True)
class Turn:
    """The figures of one run.

    reaction: seconds, the median over its answers. level: decibels over the calm voice, the median
    over its right shouts, but for those that had to be calm. unevenness: the median over its
    answers that had to be repeated.
    """

    started: datetime
    passed: bool
    reaction: Measured
    level: Measured
    unevenness: Measured


@dataclass(frozen=True)
class Series:
    """The runs of one drill, oldest first."""

    drill: str
    title: str
    turns: tuple[Turn, ...]


class Trend(StrEnum):
    """How the last runs compare with the first."""

    LOWER = "lower"
    HIGHER = "higher"
    UNCLEAR = "unclear"
    UNKNOWN = "unknown"  # there are too few runs to compare


@dataclass(frozen=True)
class Measure:
    """What is followed over time: how it is named and told, and where a run has it.

    lower, higher: what a change is called.
    """

    name: str
    unit: str
    digits: int
    lower: str
    higher: str
    of: Callable[[Turn], Measured]

    def told(self, change: Trend) -> str:
        """The change in words."""
        words = {
            Trend.LOWER: f"{self.lower} than at first",
            Trend.HIGHER: f"{self.higher} than at first",
            Trend.UNCLEAR: "no clear change",
            Trend.UNKNOWN: "too few runs to compare",
        }
        return words[change]


MEASURES = (
    Measure("Reaction", " s", 2, "quicker", "slower", lambda turn: turn.reaction),
    Measure("Level over calm voice", " dB", 1, "quieter", "louder", lambda turn: turn.level),
    Measure("Unevenness", "", 2, "more even", "less even", lambda turn: turn.unevenness),
)


def turn(past: Past) -> Turn:
    """The figures of a run."""
    result = past.result
    every = answers(result)
    calm = {answered.answer for answered in every if answered.limits.calmer is not None}
    shouts = [s for s in result.shouts if s.kind is Kind.ANSWER and s.answer not in calm]
    no_calm = Measured(None, 0.0, "no calm level")
    return Turn(
        past.started,
        result.passed,
        _median([answered.reaction for answered in every], "no answer was timed"),
        _median([shout.level for shout in shouts], "no level was measured")
        if result.calm.value is not None
        else no_calm,
        _median([one.unevenness for one in every if rhythmic(one)], "nothing had a rhythm"),
    )


def _median(measures: Sequence[Measured], void: str) -> Measured:
    """The median of what could be measured, with the median of the errors."""
    known = [(one.value, one.error) for one in measures if one.value is not None]
    if not known:
        return Measured(None, 0.0, void)
    return Measured(median(value for value, _ in known), median(error for _, error in known))


def series(past: Iterable[Past]) -> tuple[Series, ...]:
    """The runs by drill, whatever order they come in; the drill that was run last comes first."""
    found: defaultdict[str, list[Past]] = defaultdict(list)
    for one in sorted(past, key=lambda one: one.started):
        found[one.result.drill].append(one)
    every = [
        Series(drill, runs[-1].result.title, tuple(map(turn, runs)))
        for drill, runs in found.items()
    ]
    return tuple(sorted(every, key=lambda one: (-one.turns[-1].started.timestamp(), one.drill)))


def trend(one: Series, measure: Measure) -> Trend:
    """Whether the last runs are certainly lower or higher than the first.

    Certainly: no one of them, give or take its error, reaches any one of the others.
    """
    known = [found for found in map(measure.of, one.turns) if found.value is not None]
    if len(known) < 2 * FEW:
        return Trend.UNKNOWN
    first, last = _reach(known[:FEW]), _reach(known[-FEW:])
    if last[1] < first[0]:
        return Trend.LOWER
    return Trend.HIGHER if last[0] > first[1] else Trend.UNCLEAR


def _reach(measures: Sequence[Measured]) -> tuple[float, float]:
    low = min((one.value or 0.0) - one.error for one in measures)
    high = max((one.value or 0.0) + one.error for one in measures)
    return low, high
