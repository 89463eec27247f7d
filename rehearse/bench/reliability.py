"""How far a probability can be trusted: what was said of those that were called so likely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.bench.rates import Rate

BINS = 10

Guess = tuple[float, bool]  # the probability given, and whether it was so


@dataclass(frozen=True)
class Bin:
    """The cases whose probability lies in [low, high), and how often it was so.

    mean: the mean probability given in it.
    """

    low: float
    high: float
    mean: float
    rate: Rate


@dataclass(frozen=True)
class Reliability:
    """A reliability curve.

    error: the expected calibration error, the mean distance between what a bin's cases were given
        and how often they were so, weighed by its cases (Guo et al., 2017).
    brier: the mean squared distance between probability and truth (Brier, 1950).
    """

    bins: tuple[Bin, ...]
    error: float
    brier: float
    cases: int


def reliability(guesses: Sequence[Guess]) -> Reliability:
    """The curve of these guesses, in ten bins of equal width; empty bins are left out."""
    bins: list[Bin] = []
    for number in range(BINS):
        inside = [guess for guess in guesses if min(int(guess[0] * BINS), BINS - 1) == number]
        if inside:
            mean = sum(probability for probability, _ in inside) / len(inside)
            rate = Rate(sum(true for _, true in inside), len(inside))
            bins.append(Bin(number / BINS, (number + 1) / BINS, mean, rate))
    total = max(len(guesses), 1)
    return Reliability(
        tuple(bins),
        sum(abs(b.mean - b.rate.share) * b.rate.of for b in bins) / total,
        sum((probability - true) ** 2 for probability, true in guesses) / total,
        len(guesses),
    )
