from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.bench.corpus import StepCase
from rehearse.bench.plain import (
    FEW,
    Score,
    alternatives,
    few_false_credits,
    fewest_errors,
    no_more_missed,
    token_set_ratio,
    word_accuracy,
)
from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.judge.verdict import Verdict

STEP = Step("drum", "Turn the mode drum to armed", critical=True, also=("Arm the drum",))
SCORED = st.lists(st.tuples(st.booleans(), st.floats(0, 1)), min_size=1, max_size=60)


def case(said: str, expect: Verdict = Verdict.SAID, procedure: str = "arm-door-2l") -> StepCase:
    """A case about `STEP`; arm-door-2l is a development procedure."""
    book = Procedure(
        procedure, "t", "a", ("C1",), "en", Revision(1, date(2026, 1, 1), "s"), "strict",
        PassRule(), (STEP,),
    )  # fmt: skip
    return StepCase(book, STEP, said, expect, "paraphrase", "why", "cases.jsonl:1")


@pytest.mark.parametrize("score", [token_set_ratio, word_accuracy])
@pytest.mark.parametrize("said", ["turn the mode drum to armed", "Arm, the drum!"])
def test_any_wording_read_off_scores_full(score: Score, said: str) -> None:
    """Each likeness is 1 for any of the step's wordings, whatever its case and punctuation."""
    assert score(case(said)) == pytest.approx(1)


def test_word_accuracy_counts_word_errors() -> None:
    """One swapped word of six costs a sixth; many words too many cost more than everything."""
    assert word_accuracy(case("turn the mode drum to disarmed")) == pytest.approx(5 / 6)
    assert word_accuracy(case("what a long day it has been for all of us here")) < 0


def test_token_set_ratio_does_not_see_the_opposite() -> None:
    """Words added around a wording change nothing: why such a likeness cannot judge a step."""
    assert token_set_ratio(case("do not turn the mode drum to armed")) == pytest.approx(1)


@given(SCORED)
def test_no_threshold_makes_fewer_errors(scored: list[tuple[bool, float]]) -> None:
    """The chosen threshold makes no more errors than any other."""

    def errors(threshold: float) -> int:
        return sum(said is not (value >= threshold) for said, value in scored)

    best = errors(fewest_errors(scored))
    assert all(best <= errors(value) for _, value in scored)
    assert best <= errors(float("inf"))


@given(SCORED)
def test_the_strict_threshold_keeps_its_promise(scored: list[tuple[bool, float]]) -> None:
    """It credits at most a hundredth of what was not said, and no lower threshold would do."""
    threshold = few_false_credits(scored)
    wrongly = [value for said, value in scored if not said]

    def credited(at: float) -> int:
        return sum(value >= at for value in wrongly)

    assert credited(threshold) <= FEW * len(wrongly)
    assert all(credited(v) > FEW * len(wrongly) for _, v in scored if v < threshold)


@given(SCORED, st.floats(0, 1))
def test_the_generous_threshold_misses_no_more(
    scored: list[tuple[bool, float]], missed: float
) -> None:
    """It misses at most the given share of what was said, and no higher threshold would do."""
    threshold = no_more_missed(scored, missed)
    rightly = [value for said, value in scored if said]

    def lost(at: float) -> int:
        return sum(value < at for value in rightly)

    assert lost(threshold) <= missed * len(rightly)
    assert all(lost(v) > missed * len(rightly) for _, v in scored if v > threshold)


def test_thresholds_come_from_development_cases_alone() -> None:
    """Other held-out cases change the held-out rates, never the threshold."""
    fitted = [
        case("turn the mode drum to armed"),
        case("turn the mode drum to disarmed", Verdict.WRONG),
    ]
    easy = case("arm the drum", procedure="held-out")
    hard = case("armed it is", procedure="held-out")
    one, two = alternatives([*fitted, easy], 0.1), alternatives([*fitted, hard], 0.1)
    assert [a.threshold for a in one] == [a.threshold for a in two]
    assert [a.held_out.false_miss.hits for a in one] == [0] * 6
    assert [a.held_out.false_miss.hits for a in two] == [1] * 6
