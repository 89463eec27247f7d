"""The room while nobody speaks: how loud it is, and how much of that comes from the mains."""

from __future__ import annotations

import numpy as np

from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import WINDOW, VoiceActivity, voiced
from rehearse.measured import Measured
from rehearse.room.hum import hum
from rehearse.room.levels import MUTED, block_powers, decibels, without_offset
from rehearse.room.values import Silence

_KEPT = 0.9  # share of the blocks, the quieter ones: a door that falls shut is not the room
_PARTS = 4  # whose levels tell how steady the room is
_ERROR = 0.2  # dB; see docs/measurements.md
_LEAST = 1.0  # seconds that make a level


def silence(sound: Sound, voice: VoiceActivity) -> Silence:
    """What some seconds without speech say about the room.

    sound: mono, at `RATE`. voice: tells speech from other sound; its memory is cleared first.
    """
    still = without_offset(sound)
    spoken = float(voiced(sound, voice).sum()) * WINDOW / RATE
    return Silence(_noise(still), hum(still), spoken)


def _noise(still: Sound) -> Measured:
    if still.size < _LEAST * RATE:
        return Measured(None, 0.0, "too little silence was heard")
    powers = block_powers(still)
    level = _quieter(powers)
    if level < MUTED:
        return Measured(None, 0.0, "the device mutes silence, so the room cannot be heard")
    apart = max(abs(_quieter(part) - level) for part in np.array_split(powers, _PARTS))
    return Measured(level, _ERROR + apart)


def _quieter(powers: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    """Level of the quieter blocks; some steady noise comes out 0.1 dB too low by leaving some."""
    kept = np.sort(powers)[: max(1, round(_KEPT * len(powers)))]
    return decibels(float(np.mean(kept)))
