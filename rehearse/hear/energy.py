"""Loudness of short frames, and where in them a sound begins, ends and is quietest."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound

FRAME = RATE // 100  # 10 ms
_OVER_FLOOR = 4.0  # power over the noise floor (6 dB) that is sound
_UNDER_PEAK = 1e-4  # power under the utterance's peak (40 dB) that is silence
_LONGEST_GAP = 3  # frames a stop consonant may be silent within a sound

Power = npt.NDArray[np.float64]


def frame_power(sound: Sound) -> Power:
    """Mean square of each whole 10 ms frame."""
    whole = sound[: sound.size // FRAME * FRAME].reshape(-1, FRAME)
    power: Power = np.mean(np.square(whole, dtype=np.float64), axis=1)
    return power


def audible(power: Power, floor: float) -> npt.NDArray[np.bool_]:
    """Which frames stand out from the noise floor and are not far below the loudest."""
    peak = float(power.max(initial=0.0))
    return power > max(_OVER_FLOOR * floor, _UNDER_PEAK * peak, 1e-12)


def first_sound(loud: npt.NDArray[np.bool_], sure: int) -> int:
    """The frame in which the sound that is there at frame `sure` begins.

    Walks back from `sure` over audible frames and gaps as short as a stop consonant's; forward
    to the first audible frame when `sure` itself is silent.
    """
    at = sure
    while at < len(loud) and not loud[at]:
        at += 1
    if at == len(loud):
        return sure
    begin = at
    while at >= 0 and begin - at <= _LONGEST_GAP:
        if loud[at]:
            begin = at
        at -= 1
    return begin


def last_sound(loud: npt.NDArray[np.bool_], sure: int) -> int:
    """The frame just after the sound that is there at frame `sure`: `first_sound` mirrored."""
    mirrored = len(loud) - 1 - min(sure, len(loud) - 1)
    return len(loud) - first_sound(loud[::-1], mirrored)


def quietest(power: Power, width: int) -> int:
    """The frame in the middle of the quietest stretch of `width` frames."""
    if len(power) <= width:
        return len(power) // 2
    smooth = np.convolve(power, np.ones(width), mode="valid")
    return int(smooth.argmin()) + width // 2
