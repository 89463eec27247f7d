"""Constructed sounds whose figures are known, and the voices of the tests of hearing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import SileroVoice

SOUNDS = Path(__file__).parents[1] / "hear" / "sounds"

Noise = Callable[..., Sound]


@pytest.fixture(scope="session")
def activity() -> SileroVoice:
    """The real detector of voices."""
    return SileroVoice()


@pytest.fixture(scope="session")
def noise() -> Noise:
    """Makes noise of a level, dB over full scale; the same each time, white or pink."""

    def made(seconds: float, level: float, *, pink: bool = False, seed: int = 4) -> Sound:
        count = int(seconds * RATE)
        spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(count))
        if pink:
            spectrum /= np.sqrt(np.maximum(np.fft.rfftfreq(count, 1 / RATE), 20.0))
        sound = np.fft.irfft(spectrum, count)
        return np.asarray(sound / np.std(sound) * 10 ** (level / 20), dtype=np.float32)

    return made


@pytest.fixture(scope="session")
def sentence() -> Callable[[float], Sound]:
    """Two clips of a voice one after the other, at an active level, dB over full scale."""
    names = ("check-both-panes", "pull-the-red-toggle")
    clips = [soundfile.read(SOUNDS / f"{name}.flac", dtype="float32")[0] for name in names]
    whole = np.concatenate(clips)
    found = active_level(whole)
    assert found is not None

    def made(level: float) -> Sound:
        return np.asarray(whole * 10 ** ((level - found) / 20), dtype=np.float32)

    return made
