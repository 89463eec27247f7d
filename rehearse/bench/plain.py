"""What a few lines of code without a judge would do: likeness of words with one threshold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz import fuzz, utils
from rapidfuzz.distance import Levenshtein

from rehearse.bench.corpus import StepCase
from rehearse.bench.embedding import Embedding
from rehearse.bench.rates import CREDITED, Credit, Pair, credit
from rehearse.judge.meaning import Meaning
from rehearse.judge.verdict import StepResult, Verdict

Score = Callable[[StepCase], float]
Scored = Sequence[tuple[bool, float]]  # whether it was rightly said, and how likely it looks


@dataclass(frozen=True)
class Method:
    """One way to judge, as one number a case: the higher, the likelier it was rightly said."""

    name: str
    scores: tuple[float, ...]


@dataclass(frozen=True)
class Point:
    """What a threshold is asked to keep to: a share of misses, or of false credits, at most."""

    kind: Literal["missed", "credited"]
    share: float


@dataclass(frozen=True)
class Operating:
    """One method at one operating point.

    threshold: chosen on the development cases; development, held_out: what it gives there.
    best_development, best_held_out: the other rate (false credits where misses are kept to, and
        the other way round) with the threshold that is best on those very cases.
    """

    point: Point
    threshold: float
    development: Credit
    held_out: Credit
    best_development: float
    best_held_out: float


POINTS = (
    Point("missed", 0.02),
    Point("missed", 0.04),
    Point("missed", 0.10),
    Point("credited", 0.01),
    Point("credited", 0.03),
)
JUDGE = "the judge"  # the method that the others are alternatives to


def token_set_ratio(case: StepCase) -> float:
    """Likeness of the two sets of words, 0..1, with the best of the step's wordings."""
    return likeness(case.step.wordings, case.said)


def likeness(wordings: Sequence[str], said: str) -> float:
    """The token-set ratio of what was said with the best of some wordings, 0..1."""
    return max(
        fuzz.token_set_ratio(wording, said, processor=utils.default_process) / 100
        for wording in wordings
    )


def word_accuracy(case: StepCase) -> float:
    """One minus the word error rate against the best of the step's wordings; may be negative."""
    said = utils.default_process(case.said).split()
    rates = []
    for wording in case.step.wordings:
        words = utils.default_process(wording).split()
        rates.append(Levenshtein.distance(words, said) / len(words))
    return 1 - min(rates)


def reading(meaning: Meaning) -> Score:
    """The step judge alone: its probability of "said", with the best of the step's wordings."""

    def score(case: StepCase) -> float:
        rows = meaning.said([(wording, case.said) for wording in case.step.wordings])
        return max(float(row[0]) for row in rows)

    return score


def cosine(embedding: Embedding) -> Score:
    """Cosine of the sentence embeddings, with the best of the step's wordings."""

    def score(case: StepCase) -> float:
        return max(embedding.cosine(wording, case.said) for wording in case.step.wordings)

    return score


def methods(
    cases: Sequence[StepCase],
    given: Sequence[StepResult],
    careful: Meaning,
    embedding: Embedding | None = None,
) -> tuple[Method, ...]:
    """The judge and every alternative to it, scored on the same cases."""
    measures: list[tuple[str, Score]] = [
        ("token-set ratio", token_set_ratio),
        ("word error rate", word_accuracy),
        ("step judge alone", reading(careful)),
    ]
    if embedding is not None:
        measures.insert(2, ("embedding cosine", cosine(embedding)))
    judged = Method(JUDGE, tuple(map(standing, given)))
    return (judged, *(Method(name, tuple(map(score, cases))) for name, score in measures))


def standing(given: StepResult) -> float:
    """How strongly the judge holds that a step was said: by verdict, then by probability."""
    ranks = {Verdict.SAID: 2, Verdict.OUT_OF_ORDER: 2, Verdict.UNCLEAR: 1}
    return ranks.get(given.verdict, 0) + given.probability


def operating(method: Method, cases: Sequence[StepCase], point: Point) -> Operating:
    """The method at one operating point, on both splits."""
    splits = {
        split: [
            (case, score)
            for case, score in zip(cases, method.scores, strict=True)
            if case.development is split
        ]
        for split in (True, False)
    }
    fitted = _scored(splits[True])
    threshold = threshold_for(point, fitted)

    def best(split: bool) -> float:
        scored = _scored(splits[split])
        return _other_rate(point, scored, threshold_for(point, scored))

    return Operating(
        point,
        threshold,
        _credit(splits[True], threshold),
        _credit(splits[False], threshold),
        best(split=True),
        best(split=False),
    )


def threshold_for(point: Point, scored: Scored) -> float:
    """The threshold that keeps to the point and is best otherwise."""
    if point.kind == "missed":
        return no_more_missed(scored, point.share)
    return few_false_credits(scored, point.share)


def few_false_credits(scored: Scored, share: float) -> float:
    """The lowest threshold that credits at most this share of what was not said."""
    wrongly = [value for said, value in scored if not said]
    for threshold in _thresholds(scored):
        if sum(value >= threshold for value in wrongly) <= share * len(wrongly):
            return threshold
    return float("inf")


def no_more_missed(scored: Scored, missed: float) -> float:
    """The highest threshold that misses at most this share of what was said."""
    rightly = [value for said, value in scored if said]
    for threshold in reversed(_thresholds(scored)):
        if sum(value < threshold for value in rightly) <= missed * len(rightly):
            return threshold
    return float("-inf")


def _thresholds(scored: Scored) -> list[float]:
    """Every threshold that makes a difference, rising, and one that credits nothing."""
    return [*sorted({value for _, value in scored}), float("inf")]


def _scored(cases: Sequence[tuple[StepCase, float]]) -> list[tuple[bool, float]]:
    return [(case.expect in CREDITED, score) for case, score in cases]


def _other_rate(point: Point, scored: Scored, threshold: float) -> float:
    """The rate that the point does not fix."""
    against = point.kind == "credited"
    values = [value for said, value in scored if said is against]
    hits = sum((value < threshold) if against else (value >= threshold) for value in values)
    return hits / len(values) if values else 0.0


def _credit(cases: Sequence[tuple[StepCase, float]], threshold: float) -> Credit:
    pairs: list[Pair] = [
        (case.expect, Verdict.SAID if score >= threshold else Verdict.NOT_SAID)
        for case, score in cases
    ]
    return credit(pairs)
