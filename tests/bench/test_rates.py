from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.bench.rates import Rate, confusion, credit
from rehearse.judge.verdict import Verdict

SAID, WRONG, NOT_SAID, UNCLEAR = Verdict.SAID, Verdict.WRONG, Verdict.NOT_SAID, Verdict.UNCLEAR


def test_wilson_interval_agrees_with_published_values() -> None:
    """Two intervals worked out by hand elsewhere come out the same to three digits."""
    assert Rate(81, 263).interval == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert Rate(1, 29).interval == pytest.approx((0.0061, 0.1718), abs=5e-5)


@given(st.integers(1, 2000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_interval_holds_the_share(counts: tuple[int, int]) -> None:
    """The interval lies in 0..1, holds the share, and no share is certain."""
    rate = Rate(*counts)
    low, high = rate.interval
    assert 0 <= low <= rate.share + 1e-12
    assert rate.share - 1e-12 <= high <= 1
    assert high - low > 0


def test_nothing_counted_leaves_everything_open() -> None:
    """A share of nothing could be anything."""
    assert Rate(0, 0).interval == (0.0, 1.0)
    assert Rate(0, 0).share == 0


def test_rates_of_credit() -> None:
    """Each pair counts in the rates it belongs to, and in no other."""
    rates = credit(
        [
            (SAID, SAID),
            (SAID, WRONG),
            (SAID, UNCLEAR),
            (WRONG, SAID),
            (WRONG, UNCLEAR),
            (NOT_SAID, WRONG),
            (UNCLEAR, UNCLEAR),
        ]
    )
    assert (rates.false_credit.hits, rates.false_credit.of) == (1, 4)
    assert (rates.false_miss.hits, rates.false_miss.of) == (1, 3)
    assert (rates.asked_again.hits, rates.asked_again.of) == (1, 3)
    assert (rates.left_open.hits, rates.left_open.of) == (2, 4)
    assert (rates.right.hits, rates.right.of) == (2, 7)


def test_a_step_out_of_order_had_its_words_credited() -> None:
    """Calling a wrong step out of order credits its words; a step out of order was rightly said."""
    order = Verdict.OUT_OF_ORDER
    assert credit([(WRONG, order)]).false_credit.hits == 1
    assert credit([(order, SAID)]).false_credit.of == 0
    assert credit([(order, WRONG)]).false_miss.hits == 1


def test_confusion_counts_pairs() -> None:
    """The same expected and given verdicts are counted together, direction kept."""
    counts = confusion([(SAID, WRONG), (SAID, WRONG), (WRONG, SAID)])
    assert counts[SAID, WRONG] == 2
    assert counts[WRONG, SAID] == 1
