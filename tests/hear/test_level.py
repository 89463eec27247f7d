from __future__ import annotations

import numpy as np
import pytest

from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound


def _voice(seconds: float, level: float) -> Sound:
    """Noise at a level in dB relative to full scale."""
    noise = np.random.default_rng(2).normal(0, 1, int(seconds * RATE))
    return (noise * 10 ** (level / 20)).astype(np.float32)


def test_a_steady_sound_has_its_own_level() -> None:
    """Without pauses the active level is the plain one."""
    assert active_level(_voice(3.0, -26)) == pytest.approx(-26, abs=0.3)


def test_pauses_do_not_lower_the_level() -> None:
    """Two thirds of silence change the level by less than a decibel."""
    pause = np.zeros(2 * RATE, np.float32)
    sound = np.concatenate([pause, _voice(2.0, -26), pause])
    assert active_level(sound) == pytest.approx(-26, abs=1.0)


def test_twice_the_amplitude_is_six_decibels_more() -> None:
    """The level follows the gain over the whole range of voices."""
    sound = np.concatenate([_voice(1.0, -40), np.zeros(RATE, np.float32), _voice(1.0, -46)])
    quiet, loud = active_level(sound), active_level(sound * 30)
    assert quiet is not None
    assert loud is not None
    assert loud - quiet == pytest.approx(20 * np.log10(30), abs=0.5)


def test_silence_has_no_level() -> None:
    """Digital silence, or no sound at all, is not so many decibels."""
    assert active_level(np.zeros(RATE, np.float32)) is None
    assert active_level(np.zeros(0, np.float32)) is None
