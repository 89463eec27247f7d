"""Clipping: samples that the microphone or its setting cut off at full scale."""

from __future__ import annotations

import numpy as np

from rehearse.hear.recogniser import RATE, Sound

# Cut off at 48 kHz and brought to 16 kHz, 95 % of such samples reach this, and 60 % reach 0.999.
_FULL_SCALE = 0.985


def clipped(sound: Sound, start: float = 0.0, end: float | None = None) -> float:
    """Share of the samples between two times that are cut off, 0..1; 0 when there are none.

    start, end: seconds; the end of the sound when `end` is left out.
    """
    until = sound.size if end is None else int(end * RATE)
    part = sound[max(0, int(start * RATE)) : until]
    return float(np.mean(np.abs(part) >= _FULL_SCALE)) if part.size else 0.0
