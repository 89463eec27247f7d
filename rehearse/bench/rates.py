"""Counts with their uncertainty: shares with Wilson intervals, confusions, the two rates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from rehearse.judge.verdict import Verdict

CONFIDENCE = 0.95
# A step out of order was said rightly, only at the wrong place: its words were credited.
CREDITED = frozenset({Verdict.SAID, Verdict.OUT_OF_ORDER})

Pair = tuple[Verdict, Verdict]  # expected, given


@dataclass(frozen=True)
class Rate:
    """So many of so many."""

    hits: int
    of: int

    @property
    def share(self) -> float:
        """0..1; 0 of 0 is 0."""
        return self.hits / self.of if self.of else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """Wilson's interval for the true share at `CONFIDENCE`; all of 0..1 when of nothing."""
        if not self.of:
            return 0.0, 1.0
        z = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
        centre = (self.share + z * z / (2 * self.of)) / (1 + z * z / self.of)
        spread = self.share * (1 - self.share) / self.of + z * z / (4 * self.of * self.of)
        reach = z / (1 + z * z / self.of) * spread**0.5
        return max(0.0, centre - reach), min(1.0, centre + reach)

    def __str__(self) -> str:
        low, high = self.interval
        counts = f"{self.hits}/{self.of}"
        return f"{self.share:6.1%} [{low:6.1%},{high:6.1%}] {counts:>9}"


@dataclass(frozen=True)
class Credit:
    """What decides whether a judge can be trusted.

    false_credit: of what was not rightly said, the share credited.
    false_miss: of what was rightly said, the share called wrong, incomplete or not said.
    asked_again: of what was rightly said, the share left unclear.
    left_open: of what was not rightly said, the share left unclear.
    right: of all, the share with exactly the expected verdict.
    """

    false_credit: Rate
    false_miss: Rate
    asked_again: Rate
    left_open: Rate
    right: Rate


def credit(pairs: Sequence[Pair]) -> Credit:
    """The rates of expected and given verdicts."""
    rightly = [given for expect, given in pairs if expect in CREDITED]
    otherwise = [given for expect, given in pairs if expect not in CREDITED]
    unclear = Verdict.UNCLEAR
    return Credit(
        false_credit=Rate(sum(given in CREDITED for given in otherwise), len(otherwise)),
        false_miss=Rate(
            sum(given not in CREDITED and given is not unclear for given in rightly), len(rightly)
        ),
        asked_again=Rate(sum(given is unclear for given in rightly), len(rightly)),
        left_open=Rate(sum(given is unclear for given in otherwise), len(otherwise)),
        right=Rate(sum(expect is given for expect, given in pairs), len(pairs)),
    )


def confusion(pairs: Iterable[Pair]) -> Counter[Pair]:
    """How often each verdict was given where each was expected."""
    return Counter(pairs)
