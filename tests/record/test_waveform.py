from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.hear.recogniser import RATE, Sound
from rehearse.record.waveform import waveform


def test_short_sound() -> None:
    """A short sound keeps ten-millisecond detail, and a burst stands where it was."""
    sound = np.zeros(RATE, np.float32)
    sound[8000] = -0.5
    shape = waveform([sound])
    assert shape.seconds == 0.01
    assert shape.duration == pytest.approx(1.0)
    assert [n for n, peak in enumerate(shape.peaks) if peak] == [50]
    assert max(shape.peaks) == 0.5


def test_no_sound() -> None:
    """Nothing gives no peaks, and no error."""
    assert waveform([]).peaks == ()
    assert waveform([np.zeros(0, np.float32)]).peaks == ()


@given(
    lengths=st.lists(st.integers(0, 40_000), max_size=12),
    most=st.sampled_from([4, 7, 64]),
    seed=st.integers(0, 99),
)
def test_cut_into_any_pieces(lengths: list[int], most: int, seed: int) -> None:
    """However the sound is cut up, the peaks are those of the whole, and never too many."""
    chance = np.random.default_rng(seed)
    pieces = [chance.uniform(-1, 1, length).astype(np.float32) for length in lengths]
    whole = np.concatenate([np.zeros(0, np.float32), *pieces])
    shape = waveform(pieces, most)
    size = round(shape.seconds * RATE)
    assert len(shape.peaks) <= most + 1
    assert len(shape.peaks) == -(-len(whole) // size)
    for number, peak in enumerate(shape.peaks):
        assert peak == np.abs(whole[number * size : (number + 1) * size]).max()


def test_two_hours_stay_small() -> None:
    """Two hours give a bounded number of points, each reaching as loud as it should."""

    def hours() -> Iterator[Sound]:
        second = np.full(RATE, 0.25, np.float32)
        for _ in range(7200):
            yield second

    shape = waveform(hours())
    assert 8192 <= len(shape.peaks) <= 16385
    assert set(shape.peaks) == {0.25}
    assert shape.duration == pytest.approx(7200, abs=shape.seconds)
