"""Levels of a stretch of sound: what the figures of a room are made from.

All levels are dB relative to full scale, of the sound without the device's constant offset.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound

NOTHING = -200.0  # dB: stands for no sound at all
MUTED = -90.0  # dB: under the last bit of 16-bit sound
_BLOCK = RATE // 10

Power = npt.NDArray[np.float64]


def without_offset(sound: Sound) -> Sound:
    """The sound without its constant part, which some devices add and nobody hears."""
    if not sound.size:
        return sound
    return np.asarray(sound - np.mean(sound, dtype=np.float64), dtype=np.float32)


def block_powers(sound: Sound) -> Power:
    """Mean square of each tenth of a second, shape (n,); what is over at the end is left out."""
    whole = sound[: sound.size // _BLOCK * _BLOCK].reshape(-1, _BLOCK)
    powers: Power = np.mean(np.square(whole, dtype=np.float64), axis=1)
    return powers


def decibels(power: float) -> float:
    """A mean square as dB relative to full scale."""
    return max(NOTHING, 10 * math.log10(max(power, 1e-30)))


def power_of(level: float) -> float:
    """The mean square of a level: `decibels` the other way round."""
    return float(10 ** (level / 10))


def level_of(sound: Sound) -> float:
    """Level of a whole sound, its constant offset taken out."""
    still = without_offset(sound)
    return decibels(float(np.mean(np.square(still, dtype=np.float64)))) if still.size else NOTHING
