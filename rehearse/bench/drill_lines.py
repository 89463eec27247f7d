"""Figures of constructed drills as plain text. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from statistics import NormalDist, fmean, median

from rehearse.bench.drill_cases import NOISES
from rehearse.bench.drill_truth import Beside, Pair
from rehearse.bench.rates import CONFIDENCE, Rate

LATE = 0.95  # of the errors, the share that the figure shown is not exceeded by


@dataclass(frozen=True)
class Late:
    """The error that 95 % do not exceed, with the interval that its true value lies in."""

    value: float
    low: float
    high: float


def late(errors: Sequence[float]) -> Late:
    """From the sizes of the errors: the order statistics around the share `LATE`.

    Raises:
        ValueError: there are none.
    """
    if not errors:
        raise ValueError("no errors")
    ordered = sorted(map(abs, errors))
    count = len(ordered)
    spread = NormalDist().inv_cdf((1 + CONFIDENCE) / 2) * (count * LATE * (1 - LATE)) ** 0.5

    def ranked(rank: float) -> float:
        return ordered[min(count, max(1, ceil(rank))) - 1]

    return Late(
        ranked(count * LATE), ranked(count * LATE - spread), ranked(count * LATE + spread + 1)
    )


def lines(drills: Sequence[Beside]) -> Iterator[str]:
    """What was found in all drills, by noise and by voice, and every case that went wrong."""
    yield f"{len(drills)} drills, {len({drill.voice for drill in drills})} voices"
    yield ""
    yield from _counts(drills)
    yield ""
    yield f"{'errors':<28}{'number':>7}{'mean':>9}{'median':>9}{'p95':>9}  95 % interval   beyond"
    yield from _errors("reaction, ms", drills, _reactions)
    yield from _errors("level over calm, dB", drills, _levels)
    yield from _errors("change of level, dB", drills, _changes)
    yield from _errors("rate, %", drills, _rates)
    yield "median and p95 of the size; beyond: share of values further off than their stated error"
    yield ""
    yield "right sayings recognised, by voice"
    for voice in dict.fromkeys(drill.voice for drill in drills):
        yield f"  {voice:<30}{_recognised([d for d in drills if d.voice == voice])}"
    odd = [(drill, line) for drill in drills for line in drill.odd]
    if odd:
        yield ""
        yield "what went wrong"
        yield from (
            f"  drill {drill.number}, {drill.voice}, {_noise(drill.snr)}: {line}"
            for drill, line in odd
        )


def _counts(drills: Sequence[Beside]) -> Iterator[str]:
    for noise in (*NOISES, "all"):
        own = _in(drills, noise)
        if own:
            yield f"right sayings recognised, {_noise(noise):<10}{_recognised(own)}"
    accepted = Rate(sum(d.accepted for d in drills), sum(d.wrong for d in drills))
    invented = Rate(sum(d.invented for d in drills), sum(d.counted for d in drills))
    credited = Rate(sum(d.credited for d in drills), sum(d.answers for d in drills))
    later = Rate(sum(d.later for d in drills), sum(d.later + len(d.reactions) for d in drills))
    yield f"wrong sayings accepted              {accepted}"
    yield f"shouts counted that nobody shouted  {invented}"
    yield f"answers credited without being said {credited}"
    yield f"reactions taken from a later saying {later}"


def _recognised(drills: Sequence[Beside]) -> Rate:
    return Rate(sum(d.recognised for d in drills), sum(d.right for d in drills))


def _in(drills: Sequence[Beside], noise: float | str | None) -> list[Beside]:
    return [drill for drill in drills if noise in ("all", drill.snr)]


def _noise(noise: float | str | None) -> str:
    if isinstance(noise, str):
        return noise
    return "clean" if noise is None else f"{noise:g} dB"


@dataclass(frozen=True)
class _Error:
    """One error as it is shown, and whether it is greater than was stated."""

    size: float
    beyond: bool


def _errors(
    name: str, drills: Sequence[Beside], of: Callable[[Beside], Iterator[_Error]]
) -> Iterator[str]:
    for noise in (*NOISES, "all"):
        found = [error for drill in _in(drills, noise) for error in of(drill)]
        if not found:
            continue
        sizes = [error.size for error in found]
        at = late(sizes)
        interval = f"[{at.low:.4g}, {at.high:.4g}]"
        beyond = sum(error.beyond for error in found) / len(found)
        yield (
            f"{name + ', ' + _noise(noise):<28}{len(found):>7}{fmean(sizes):>9.3g}"
            f"{median(map(abs, sizes)):>9.3g}{at.value:>9.3g}  {interval:<15}{beyond:>7.1%}"
        )


def _shown(pairs: Sequence[Pair], size: Callable[[Pair], float]) -> Iterator[_Error]:
    return (_Error(size(pair), abs(pair.error) > pair.stated) for pair in pairs)


def _reactions(drill: Beside) -> Iterator[_Error]:
    return _shown(drill.reactions, lambda pair: 1000 * pair.error)


def _levels(drill: Beside) -> Iterator[_Error]:
    return _shown(drill.levels, lambda pair: pair.error)


def _changes(drill: Beside) -> Iterator[_Error]:
    return _shown(drill.changes, lambda pair: pair.error)


def _rates(drill: Beside) -> Iterator[_Error]:
    return _shown(drill.rates, lambda pair: 100 * pair.error / pair.truth)
