"""Shouts put together: what is said about them is true of the sound."""

from __future__ import annotations

import numpy as np
import pytest

from rehearse.bench.shouting import CALM, Said, cabin_noise, clip, mixed
from rehearse.hear.recogniser import RATE, Sound


def word(quiet: float = 0.25, loud: float = 0.4, amplitude: float = 0.1) -> Sound:
    """A tone between two silences, seconds."""
    silence = np.zeros(int(quiet * RATE), np.float32)
    time = np.arange(int(loud * RATE)) / RATE
    tone = (amplitude * np.sin(2 * np.pi * 250 * time)).astype(np.float32)
    return np.concatenate([silence, tone, silence])


def decibels(sound: Sound) -> float:
    """Mean power of a stretch, dB over full scale."""
    return float(10 * np.log10(np.mean(np.square(sound, dtype=np.float64))))


def put(start: float, gain: float) -> Said:
    """The word, said rightly at a time."""
    return Said("Turn back!", "dead.call", True, start, start + 0.4, gain)


def test_a_clip_knows_where_it_is_heard() -> None:
    """A wrong onset of the clip would make every measured reaction look wrong."""
    found = clip(word())
    assert (found.begin / RATE, found.end / RATE) == pytest.approx((0.25, 0.65), abs=0.003)


def test_a_faint_breath_before_the_word_is_not_its_onset() -> None:
    """The reaction would count from a breath that nobody takes for the command."""
    sound = word()
    sound[: RATE // 5] = 0.1 * 10 ** (-45 / 20) * np.sin(np.arange(RATE // 5))
    assert clip(sound).begin / RATE == pytest.approx(0.25, abs=0.003)


def test_every_clip_has_the_calm_level_whatever_its_own_was() -> None:
    """Levels of two voices could not be compared with the gains they were given."""
    for amplitude in (0.01, 0.3):
        found = clip(word(amplitude=amplitude))
        assert decibels(found.sound[found.begin : found.end]) == pytest.approx(CALM, abs=0.1)


def test_a_long_pause_within_a_saying_does_not_lower_its_level() -> None:
    """A command of two phrases would be put in louder than is stated."""
    found = clip(np.concatenate([word(), word()]))
    tone = found.sound[found.begin + 100 : found.begin + RATE * 3 // 10]
    assert decibels(tone) == pytest.approx(CALM, abs=0.2)


def test_a_silent_clip_is_refused() -> None:
    """A voice that says nothing would count as a command that was not recognised."""
    with pytest.raises(ValueError, match="silent"):
        clip(np.zeros(RATE, np.float32))


def test_sayings_lie_where_and_as_loud_as_is_stated() -> None:
    """The truth that all measures are compared with would be wrong."""
    voice = clip(word())
    sound = mixed([(put(1.0, 6.0), voice), (put(2.0, 18.0), voice)], 3.0, None, 1)
    heard = np.flatnonzero(np.abs(sound) > 1e-6) / RATE
    assert heard[0] == pytest.approx(1.0, abs=0.003)
    assert decibels(sound[RATE : RATE * 14 // 10]) == pytest.approx(CALM + 6, abs=0.2)
    assert decibels(sound[2 * RATE : RATE * 24 // 10]) == pytest.approx(CALM + 18, abs=0.2)
    assert not sound[RATE * 15 // 10 : RATE * 19 // 10].any()


def test_noise_is_as_far_below_the_shouts_as_is_stated() -> None:
    """Figures for 10 dB of noise would be those of some other noise."""
    voice = clip(word())
    sound = mixed([(put(1.0, 12.0), voice)], 3.0, 10.0, 1)
    assert decibels(sound[: RATE // 2]) == pytest.approx(CALM + 2, abs=1.0)


def test_noise_is_that_of_its_seed_and_mostly_low() -> None:
    """A measurement could not be repeated, or its noise would be no cabin's."""
    noise = cabin_noise(RATE, 3)
    assert np.array_equal(noise, cabin_noise(RATE, 3))
    assert not np.array_equal(noise, cabin_noise(RATE, 4))
    power = np.abs(np.fft.rfft(noise)) ** 2
    assert power[:1000].sum() > 0.7 * power.sum()


def test_a_saying_that_does_not_fit_is_refused() -> None:
    """A shout that is cut off would be counted as one that was said."""
    with pytest.raises(ValueError, match="does not fit"):
        mixed([(put(0.1, 6.0), clip(word()))], 3.0, None, 1)
