"""What a few lines of code without a judge would do: likeness of words with one threshold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, utils
from rapidfuzz.distance import Levenshtein

from rehearse.bench.corpus import StepCase
from rehearse.bench.rates import CREDITED, Credit, Pair, credit
from rehearse.judge.verdict import Verdict

Score = Callable[[StepCase], float]
FEW = 0.01  # the false credit that the stricter threshold may have on the development cases


@dataclass(frozen=True)
class Alternative:
    """One likeness at one threshold: its rates where the threshold was chosen, and elsewhere.

    chosen: how the threshold was chosen, for the reader.
    """

    name: str
    chosen: str
    threshold: float
    development: Credit
    held_out: Credit
    development_critical: Credit
    held_out_critical: Credit


def token_set_ratio(case: StepCase) -> float:
    """Likeness of the two sets of words, 0..1, with the best of the step's wordings."""
    return max(
        fuzz.token_set_ratio(wording, case.said, processor=utils.default_process) / 100
        for wording in case.step.wordings
    )


def word_accuracy(case: StepCase) -> float:
    """One minus the word error rate against the best of the step's wordings; may be negative."""
    said = utils.default_process(case.said).split()
    rates = []
    for wording in case.step.wordings:
        words = utils.default_process(wording).split()
        rates.append(Levenshtein.distance(words, said) / len(words))
    return 1 - min(rates)


MEASURES: tuple[tuple[str, Score], ...] = (
    ("token-set ratio", token_set_ratio),
    ("word error rate", word_accuracy),
)


def alternatives(cases: Sequence[StepCase], missed: float) -> tuple[Alternative, ...]:
    """Each likeness at three thresholds, chosen on the development cases.

    missed: the share of what was rightly said that the judge did not credit; the third
        threshold misses no more.
    """
    made: list[Alternative] = []
    for name, score in MEASURES:
        scored = [(case, score(case)) for case in cases]
        fitted = [(case.expect in CREDITED, value) for case, value in scored if case.development]
        for chosen, threshold in (
            ("fewest errors", fewest_errors(fitted)),
            (f"{FEW:.0%} false credit", few_false_credits(fitted)),
            ("judge's misses", no_more_missed(fitted, missed)),
        ):
            made.append(_alternative(name, chosen, threshold, scored))
    return tuple(made)


def fewest_errors(scored: Sequence[tuple[bool, float]]) -> float:
    """The threshold with the fewest false credits and false misses together."""

    def errors(threshold: float) -> int:
        return sum(said is not (value >= threshold) for said, value in scored)

    return min(_thresholds(scored), key=errors)


def few_false_credits(scored: Sequence[tuple[bool, float]]) -> float:
    """The lowest threshold that credits at most the share `FEW` of what was not said."""
    wrongly = [value for said, value in scored if not said]
    for threshold in _thresholds(scored):
        if sum(value >= threshold for value in wrongly) <= FEW * len(wrongly):
            return threshold
    return float("inf")


def no_more_missed(scored: Sequence[tuple[bool, float]], missed: float) -> float:
    """The highest threshold that misses at most this share of what was said."""
    rightly = [value for said, value in scored if said]
    for threshold in reversed(_thresholds(scored)):
        if sum(value < threshold for value in rightly) <= missed * len(rightly):
            return threshold
    return float("-inf")


def _thresholds(scored: Sequence[tuple[bool, float]]) -> list[float]:
    """Every threshold that makes a difference, rising, and one that credits nothing."""
    return [*sorted({value for _, value in scored}), float("inf")]


def _alternative(
    name: str, chosen: str, threshold: float, scored: Sequence[tuple[StepCase, float]]
) -> Alternative:
    def rates(development: bool, only_critical: bool) -> Credit:
        pairs: list[Pair] = [
            (case.expect, Verdict.SAID if value >= threshold else Verdict.NOT_SAID)
            for case, value in scored
            if case.development is development and (case.step.critical or not only_critical)
        ]
        return credit(pairs)

    return Alternative(
        name,
        chosen,
        threshold,
        rates(development=True, only_critical=False),
        rates(development=False, only_critical=False),
        rates(development=True, only_critical=True),
        rates(development=False, only_critical=True),
    )
