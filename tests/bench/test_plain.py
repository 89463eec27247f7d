from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.bench.compare import comparison
from rehearse.bench.corpus import StepCase
from rehearse.bench.plain import (
    JUDGE,
    POINTS,
    Method,
    Point,
    Score,
    few_false_credits,
    no_more_missed,
    operating,
    standing,
    token_set_ratio,
    word_accuracy,
)
from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.judge.verdict import StepResult, Verdict

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


@given(SCORED, st.floats(0, 1))
def test_the_strict_threshold_keeps_its_promise(
    scored: list[tuple[bool, float]], share: float
) -> None:
    """It credits at most that share of what was not said, and no lower threshold would do."""
    threshold = few_false_credits(scored, share)
    wrongly = [value for said, value in scored if not said]

    def credited(at: float) -> int:
        return sum(value >= at for value in wrongly)

    assert credited(threshold) <= share * len(wrongly)
    assert all(credited(v) > share * len(wrongly) for _, v in scored if v < threshold)


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


FITTED = [case("turn the mode drum to armed"), case("turn it to disarmed", Verdict.WRONG)]
HELD = [case("arm the drum", procedure="x"), case("armed it is", Verdict.WRONG, "x")]


@pytest.mark.parametrize("point", POINTS, ids=str)
def test_thresholds_come_from_development_cases_alone(point: Point) -> None:
    """Other held-out scores change the held-out rates, never the threshold."""
    one = operating(Method("m", (0.9, 0.1, 0.95, 0.0)), [*FITTED, *HELD], point)
    two = operating(Method("m", (0.9, 0.1, 0.0, 0.95)), [*FITTED, *HELD], point)
    assert one.threshold == two.threshold
    assert one.development == two.development
    assert (one.held_out.false_miss.hits, one.held_out.false_credit.hits) == (0, 0)
    assert (two.held_out.false_miss.hits, two.held_out.false_credit.hits) == (1, 1)
    assert (one.best_held_out, two.best_held_out) == (0.0, 1.0)


def test_the_judge_stands_by_verdict_first() -> None:
    """A step called wrong never outranks one called unclear, whatever the probabilities."""

    def given(verdict: Verdict, probability: float) -> float:
        return standing(StepResult("x", verdict, probability, "", None, None, ""))

    ranked = [
        given(Verdict.NOT_SAID, 0.0),
        given(Verdict.WRONG, 0.99),
        given(Verdict.UNCLEAR, 0.1),
        given(Verdict.UNCLEAR, 0.2),
        given(Verdict.SAID, 0.0),
        given(Verdict.SAID, 0.9),
    ]
    assert ranked == sorted(ranked)


def test_being_ahead_is_claimed_only_where_it_is_so() -> None:
    """The table says at how many points the judge is ahead, and names who is not behind."""
    cases = [*FITTED, *HELD]
    good, bad = (0.9, 0.1, 0.9, 0.1), (0.1, 0.9, 0.1, 0.9)
    ahead = list(comparison([Method(JUDGE, good), Method("m", bad)], cases, development=False))
    assert "  the judge is ahead of every alternative at 5 of 5 points" in ahead
    behind = list(comparison([Method(JUDGE, bad), Method("m", good)], cases, development=False))
    assert "  the judge is ahead of every alternative at 0 of 5 points" in behind
    assert "  not at 1% credited (m)" in behind
