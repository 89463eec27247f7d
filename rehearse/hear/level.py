"""Active speech level: how loud a voice is while it speaks, after ITU-T P.56, method B."""

from __future__ import annotations

import math

import numpy as np

from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_BLOCK = RATE // 1000  # the envelope is computed each millisecond
_SMOOTHING = 0.03  # seconds, the envelope's time constant
_HANGOVER = 200  # blocks the signal stays active after it fell under a threshold
_MARGIN = 15.9  # dB between the active level and the threshold of activity
_LEVELS = 15  # thresholds, each half of the one before


def active_level(sound: Sound) -> float | None:
    """Active speech level in dB relative to full scale; None when the sound is silent.

    Recordings of less than a few tenths of a second give a rough figure.
    """
    blocks = sound[: sound.size // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    energy = float(np.sum(np.square(blocks, dtype=np.float64)))
    if energy <= 0.0:
        return None
    envelope = _envelope(np.mean(np.abs(blocks), axis=1, dtype=np.float64))
    previous: tuple[float, float] | None = None
    for power in range(_LEVELS, -1, -1):
        threshold = 2.0**-power
        active = _active_blocks(envelope, threshold)
        if not active:
            break
        level = 10 * math.log10(energy / (active * _BLOCK))
        above = level - 20 * math.log10(threshold)
        if above <= _MARGIN:
            if previous is None:
                return level
            share = (previous[1] - _MARGIN) / (previous[1] - above)
            return previous[0] + share * (level - previous[0])
        previous = (level, above)
    return None if previous is None else previous[0]


def _envelope(rectified: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[float]:
    """Two exponential averages in a row."""
    keep = math.exp(-1 / (1000 * _SMOOTHING))
    first = second = 0.0
    smooth: list[float] = []
    for value in rectified.tolist():
        first = keep * first + (1 - keep) * value
        second = keep * second + (1 - keep) * first
        smooth.append(second)
    return smooth


def _active_blocks(envelope: list[float], threshold: float) -> int:
    active = 0
    left = 0
    for value in envelope:
        if value >= threshold:
            left = _HANGOVER
            active += 1
        elif left:
            left -= 1
            active += 1
    return active


def speech_level(sound: Sound, start: float, end: float) -> Measured:
    """Active level of what is said between two times of a sound, dB relative to full scale.

    start, end: seconds, the first and the last sound of what is said.
    """
    level = active_level(sound[max(0, int(start * RATE)) : int(end * RATE)])
    return Measured(None, 0.0, "there is no sound") if level is None else Measured(level, 1.0)
