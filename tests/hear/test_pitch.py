from __future__ import annotations

import math

import numpy as np
import pytest

from rehearse.hear.pitch import pitch
from rehearse.hear.recogniser import RATE, Sound


def _vowel(hertz: float, seconds: float = 0.4) -> Sound:
    """A vowel with two resonances that glides by two semitones around a pitch."""
    count = int(seconds * RATE)
    glide = hertz * 2 ** (np.linspace(-1, 1, count) / 12)
    phase = 2 * np.pi * np.cumsum(glide) / RATE
    sound = np.zeros(count)
    for overtone in range(1, int(7000 / hertz)):
        at = overtone * hertz
        strength = 1 / (1 + ((at - 600) / 300) ** 2) + 1 / (1 + ((at - 1400) / 400) ** 2) + 0.05
        sound += strength / overtone * np.cos(overtone * phase)
    return (sound / math.sqrt(float(np.mean(sound**2))) * 0.1).astype(np.float32)


def _noise(size: int, level: float) -> Sound:
    return np.random.default_rng(5).normal(0, 0.1 * 10 ** (level / 20), size).astype(np.float32)


@pytest.mark.parametrize("hertz", [70, 110, 180, 260, 400, 620])
@pytest.mark.parametrize("noise", [-60.0, -10.0])
def test_voices_from_deep_to_shrill_have_their_pitch(hertz: float, noise: float) -> None:
    """An octave too high or too low would be told as strain that is not there."""
    voice = _vowel(hertz)
    measured = pitch(voice + _noise(voice.size, noise))
    assert measured.value is not None
    assert abs(12 * math.log2(measured.value / hertz)) < 0.5
    assert abs(measured.value - hertz) <= measured.error


def test_a_rise_of_three_semitones_is_measured() -> None:
    """A voice that tightens over the drill would go unnoticed."""
    low, high = pitch(_vowel(200)).value, pitch(_vowel(200 * 2 ** (3 / 12))).value
    assert low is not None
    assert high is not None
    assert 12 * math.log2(high / low) == pytest.approx(3, abs=0.2)


def test_only_what_lies_between_the_times_counts() -> None:
    """The pitch of one shout would be that of its neighbours."""
    sound = np.concatenate([_vowel(120), _vowel(300), _vowel(120)])
    assert pitch(sound, 0.45, 0.75).value == pytest.approx(300, rel=0.03)


def test_noise_whispers_and_silence_have_no_pitch() -> None:
    """A pitch would be made up for what has none."""
    for sound in (_noise(2 * RATE, 0.0), np.zeros(RATE, np.float32), np.zeros(0, np.float32)):
        measured = pitch(sound)
        assert measured.value is None
        assert measured.void
