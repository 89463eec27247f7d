"""How loud the background of a voice is, from the quietest moments around it."""

from __future__ import annotations

import numpy as np

from rehearse.hear.energy import frame_power
from rehearse.hear.recogniser import RATE, Sound

_AROUND = 2.0  # seconds before and after that are searched for quiet
_STRETCH = 8  # frames averaged, so that one still frame does not pass for the background
_QUIET = 10  # percentile of those averages: speakers leave such gaps


def background(sound: Sound, start: float, end: float) -> float:
    """Mean power of the background around what is said between two times, in seconds."""
    power = frame_power(sound[max(0, int((start - _AROUND) * RATE)) : int((end + _AROUND) * RATE)])
    if len(power) < _STRETCH:
        return 0.0
    smooth = np.convolve(power, np.full(_STRETCH, 1 / _STRETCH), mode="valid")
    return float(np.percentile(smooth, _QUIET))
