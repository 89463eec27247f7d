from __future__ import annotations

import numpy as np
import pytest

from rehearse.hear.clipping import clipped
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Converter

_DEVICE = 48000


def _through_the_device(gain: float) -> tuple[Sound, float]:
    """A second of a voice-like sound as a device at 48 kHz cuts it off, and what share it cut."""
    at = np.arange(_DEVICE) / _DEVICE
    voice = sum(np.cos(2 * np.pi * 140 * k * at + k * k) / k for k in range(1, 20))
    voice = gain * np.asarray(voice) * (0.6 + 0.4 * np.sin(2 * np.pi * 3 * at)) / 3.0
    cut = np.clip(voice, -1.0, 1.0).astype(np.float32)
    converter = Converter(_DEVICE)
    sound = np.concatenate([converter.convert(cut[:, None]), converter.flush()])
    return np.clip(sound, -1.0, 1.0), float(np.mean(np.abs(voice) >= 1.0))


@pytest.mark.parametrize("gain", [2.0, 3.0, 6.0])
def test_what_a_device_cut_off_is_seen_after_the_change_of_rate(gain: float) -> None:
    """A shout that overdrives the microphone would be measured as if it did not."""
    sound, cut = _through_the_device(gain)
    assert cut > 0.005
    assert clipped(sound) == pytest.approx(cut, rel=0.4)


def test_a_loud_voice_that_fits_is_not_clipped() -> None:
    """Somebody with a well-set microphone would be told to move away from it."""
    sound, cut = _through_the_device(0.9)
    assert cut == 0.0
    assert clipped(sound) == 0.0


def test_only_what_lies_between_the_times_counts() -> None:
    """Another shout would be blamed for the one that clipped."""
    sound = np.zeros(3 * RATE, np.float32)
    sound[RATE : 2 * RATE] = 1.0
    assert clipped(sound, 1.0, 2.0) == 1.0
    assert clipped(sound, 0.0, 1.0) == 0.0
    assert clipped(sound, 5.0, 6.0) == 0.0
