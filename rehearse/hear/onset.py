"""When a word begins and ends, from the sound itself: a recogniser only says roughly where."""

from __future__ import annotations

import numpy as np

from rehearse.hear import energy
from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_REACH = 0.5  # seconds the recogniser's time may be off
_QUIETEST = 20  # percentile of the frames around a word that is background


def onset(sound: Sound, about: float, *, since: float = 0.0) -> Measured:
    """First sound of the word that a recogniser puts at `about`; seconds from the sound's start.

    since: where the word cannot begin before: the end of the word or the cue before it.
    """
    first = max(0.0, since, about - _REACH)
    power = energy.frame_power(sound[int(first * RATE) : int((about + _REACH) * RATE)])
    if not power.size:
        return Measured(None, 0.0, "there is no sound at that time")
    loud = energy.audible(power, float(np.percentile(power, _QUIETEST)))
    sure = min(int((about - first) * RATE) // energy.FRAME, len(loud) - 1)
    if not loud.any():
        return Measured(None, 0.0, "nothing stands out from the background")
    return Measured(first + energy.first_sound(loud, sure) * energy.FRAME / RATE, 0.04)


def ending(sound: Sound, about: float, *, until: float | None = None) -> Measured:
    """Last sound of the word that a recogniser lets end at `about`: `onset` mirrored.

    until: where the word cannot end after: the start of the word or the cue after it.
    """
    seconds = sound.size / RATE
    after = 0.0 if until is None else max(0.0, seconds - until)
    found = onset(sound[::-1], seconds - about, since=after)
    return found if found.value is None else Measured(seconds - found.value, found.error)
