from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.bench.reliability import BINS, reliability

GUESSES = st.lists(st.tuples(st.floats(0, 1), st.booleans()), max_size=80)


def test_a_curve_worked_out_by_hand() -> None:
    """Bins, calibration error and Brier score of five guesses agree with paper and pencil."""
    curve = reliability([(0.95, True), (0.91, False), (0.05, False), (0.15, True), (1.0, True)])
    assert [(b.low, b.rate.hits, b.rate.of) for b in curve.bins] == [
        (0.0, 0, 1), (0.1, 1, 1), (0.9, 2, 3),
    ]  # fmt: skip
    assert curve.bins[2].mean == pytest.approx((0.95 + 0.91 + 1.0) / 3)
    expected = (0.05 + 0.85 + 3 * abs((0.95 + 0.91 + 1.0) / 3 - 2 / 3)) / 5
    assert curve.error == pytest.approx(expected)
    brier = (0.05**2 + 0.91**2 + 0.05**2 + 0.85**2) / 5
    assert curve.brier == pytest.approx(brier)


@given(GUESSES)
def test_every_guess_is_in_one_bin(guesses: list[tuple[float, bool]]) -> None:
    """Nothing is lost or counted twice, and both errors lie in 0..1."""
    curve = reliability(guesses)
    assert sum(b.rate.of for b in curve.bins) == curve.cases == len(guesses)
    assert len(curve.bins) <= BINS
    assert 0 <= curve.error <= 1 + 1e-9
    assert 0 <= curve.brier <= 1 + 1e-9


@given(GUESSES)
def test_certainty_that_is_right_has_no_error(guesses: list[tuple[float, bool]]) -> None:
    """Who says 1 to what is so and 0 to what is not is perfectly calibrated."""
    curve = reliability([(float(true), true) for _, true in guesses])
    assert (curve.error, curve.brier) == (0, 0)
