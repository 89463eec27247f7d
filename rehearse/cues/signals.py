"""Signals of the cabin: the horn, the chimes, the calls and the smoke alarm."""

from __future__ import annotations

import math

import numpy as np

from rehearse.cues.waves import RATE, Chance, Samples, edged, laid, struck, times, tone

_HIGH, _LOW = 740.0, 494.0  # hertz, of the chimes
_CHIME_SECONDS = 1.4


def horn(seconds: float, _chance: Chance) -> Samples:
    """A horn that rises and falls once in 1.2 s."""
    swing = 0.5 - 0.5 * np.cos(2 * math.pi * times(seconds) / 1.2)
    return edged(tone(420 + 260 * swing, seconds, (0.6, 0.45, 0.25, 0.15)), 0.005, 0.05)


def chime_high(seconds: float, _chance: Chance) -> Samples:
    """One high chime."""
    return _chimes(seconds, [(0.0, _HIGH)])


def chime_low(seconds: float, _chance: Chance) -> Samples:
    """One low chime."""
    return _chimes(seconds, [(0.0, _LOW)])


def chime_high_low(seconds: float, _chance: Chance) -> Samples:
    """A high chime and a low one."""
    return _chimes(seconds, [(0.0, _HIGH), (0.6, _LOW)])


def three_low(seconds: float, _chance: Chance) -> Samples:
    """Three low chimes close together."""
    return _chimes(seconds, [(0.0, _LOW), (0.45, _LOW), (0.9, _LOW)])


def fast_beep(seconds: float, _chance: Chance) -> Samples:
    """A high beep, four a second."""
    on = (times(seconds) % 0.25) < 0.13
    soft = np.convolve(on.astype(np.float64), np.ones(96) / 96, mode="same")
    return edged(tone(2900.0, seconds, (0.2,)) * soft, 0.003, 0.01)


def short_beep(seconds: float, _chance: Chance) -> Samples:
    """One plain beep, as a countdown has it."""
    return edged(tone(880.0, seconds), 0.008, 0.03)


def _chimes(seconds: float, struck_at: list[tuple[float, float]]) -> Samples:
    """Chimes at these seconds and pitches, over again every three seconds while there is time."""
    parts = [
        (again * 3.0 + start, _chime(pitch))
        for again in range(math.ceil(seconds / 3.0))
        for start, pitch in struck_at
    ]
    return edged(laid(seconds, parts), 0.0, min(0.05, len(times(seconds)) / RATE / 2))


def _chime(hertz: float) -> Samples:
    bar = tone(hertz, _CHIME_SECONDS) * struck(_CHIME_SECONDS, 0.45)
    ring = tone(hertz * 2.76, _CHIME_SECONDS) * struck(_CHIME_SECONDS, 0.12)
    return np.asarray(bar + 0.25 * ring)
