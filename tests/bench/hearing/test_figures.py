"""Rates, thresholds and times of the hearing benchmark."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rehearse.bench.hearing.figures import (
    beside,
    fitted_threshold,
    given,
    rates,
    sure_opposite,
    times,
    uncredited,
)
from rehearse.bench.hearing.rows import Row
from rehearse.bench.hearing.slots import Slot
from rehearse.judge.thresholds import thresholds
from rehearse.judge.verdict import Verdict

MakeRow = Callable[..., Row]


def test_credit_goes_by_what_was_said(row: MakeRow) -> None:
    """False credit and false miss would be mixed up."""
    found = rates(
        [
            row(),
            row(verdict="incomplete"),
            row(verdict="unclear"),
            row(kind="other", verdict="out_of_order"),
            row(kind="state", verdict="said"),
            row(kind="state", verdict="unclear"),
            row(kind="forbidden", verdict="wrong"),
        ]
    ).credit
    assert (found.false_credit.hits, found.false_credit.of) == (1, 3)
    assert (found.false_miss.hits, found.asked_again.hits, found.false_miss.of) == (1, 1, 4)
    assert (found.left_open.hits, found.left_open.of) == (1, 3)


def test_words_are_counted_by_slot(row: MakeRow) -> None:
    """Rates of deciding words would be those of texts."""
    right, lost = Slot("right", "right", 9.0), Slot("lost", "lost")
    found = rates(
        [row(slots=(right, lost, Slot("turned", "turned", 8.0))), row(heard="", slots=())]
    )
    assert (found.words.hits, found.words.of) == (1, 3)
    assert (found.confused.hits, found.confused.of) == (1, 3)
    assert (found.rejected.hits, found.rejected.of) == (1, 2)


def test_an_opposite_in_doubt_is_no_confusion() -> None:
    """What the judge asks about again would count as held for sure, or the other way round."""
    limit = thresholds().doubtful_margin
    assert sure_opposite(Slot("turned", "turned", limit))
    assert sure_opposite(Slot("turned", "turned", None))  # nothing put it in doubt
    assert not sure_opposite(Slot("turned", "turned", limit - 0.1))
    assert not sure_opposite(Slot("right", "turned", limit))


def test_a_score_becomes_a_verdict_at_the_threshold(row: MakeRow) -> None:
    """An alternative would be credited below its own threshold."""
    scored = row(verdict="", score=0.8)
    assert given(scored, 0.8) is Verdict.SAID
    assert given(scored, 0.81) is given(scored, None) is Verdict.NOT_SAID
    assert given(row(verdict="unclear", score=0.9), 0.5) is Verdict.UNCLEAR


def test_the_fitted_threshold_parts_right_from_wrong(row: MakeRow) -> None:
    """Alternatives would be compared at a threshold that is bad for them."""
    right = [row(verdict="", score=score) for score in (0.9, 0.95, 1.0, 0.3)]
    wrong = [row(verdict="", score=score, kind="state") for score in (0.1, 0.5, 0.85, 0.92)]
    assert fitted_threshold([*right, *wrong]) == 0.9  # misses 1 of 4, credits 1 of 4
    assert fitted_threshold(wrong) == 0.92
    assert fitted_threshold([]) == 1.0


def test_alternatives_are_held_to_our_own_rates(row: MakeRow) -> None:
    """They would be compared where they credit less and miss more, or on other sounds."""
    texts = [f"text {number}" for number in range(8)]
    ours = [
        *(row(text=t, verdict="said" if t != "text 0" else "unclear") for t in texts[:4]),
        *(row(text=t, kind="state", verdict="wrong") for t in texts[4:]),
        row(text="nobody else heard this", kind="state", verdict="said"),
    ]
    scores = (0.7, 0.9, 0.6, 1.0, 0.95, 0.2, 0.65, 0.1)
    theirs = [
        row(text=t, pipeline="other", verdict="", score=score, kind=mine.kind)
        for t, score, mine in zip(texts, scores, ours[:8], strict=True)
    ]
    found = beside(ours, theirs)
    assert (found.our_false_credit.hits, found.our_false_credit.of) == (0, 4)
    assert (found.our_uncredited.hits, found.our_uncredited.of) == (1, 4)
    assert found.false_credit.hits == 1  # at 0.7: one uncredited, and 0.95 credited falsely
    assert found.uncredited.hits == 3  # over 0.95: none falsely, and only 1.0 credited
    assert uncredited(ours, None).hits == 1


def test_delay_is_that_of_short_utterances(row: MakeRow) -> None:
    """Long utterances, or bare texts without sound, would move the delay."""
    rows = [row(delay=n / 100, seconds=4.0, cost=0.5, judging=0.1) for n in range(1, 101)]
    found = times([*rows, row(delay=9.0, seconds=6.0, cost=9.0, judging=0.0)])
    assert (found.middle, found.late, found.utterances) == (0.505, 0.95, 100)
    assert found.share == pytest.approx((60 + 9) / (400 + 6))
    with pytest.raises(ValueError, match="no short utterance"):
        times([row(seconds=0.0)])
