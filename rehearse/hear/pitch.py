"""Pitch: how high a voice is, from how its sound repeats itself."""

from __future__ import annotations

import numpy as np

from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_LOWEST, _HIGHEST = 65.0, 650.0  # hertz; a deep calm man and a woman who shouts
_FRAME = 0.04
_HOP = 0.01
_PERIODIC = 0.6  # normalised autocorrelation of a voiced frame
_LEAST = 5  # voiced frames


def pitch(sound: Sound, start: float = 0.0, end: float | None = None) -> Measured:
    """Median pitch of the voiced sound between two times, hertz."""
    until = sound.size if end is None else int(end * RATE)
    part = sound[max(0, int(start * RATE)) : until].astype(np.float64)
    size, hop = int(_FRAME * RATE), int(_HOP * RATE)
    shortest, longest = int(RATE / _HIGHEST), int(RATE / _LOWEST)
    found = []
    for at in range(0, part.size - size - longest, hop):
        frame = part[at : at + size]
        energy = float(frame @ frame)
        lags = np.arange(shortest, longest)
        others = [part[at + lag : at + lag + size] for lag in lags]
        alike = [float(frame @ o) / (np.sqrt(energy * float(o @ o)) + 1e-12) for o in others]
        best = int(np.argmax(alike))
        if alike[best] >= _PERIODIC:
            found.append(RATE / lags[best])
    if len(found) < _LEAST:
        return Measured(None, 0.0, "too little of it was voiced")
    return Measured(float(np.median(found)), float(np.std(found)) / len(found) ** 0.5)
