"""A sentence said calmly: how loud the voice is, how far over the room, and what is cut off."""

from __future__ import annotations

import math

import numpy as np

from rehearse.hear.clipping import clipped
from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import WINDOW, VoiceActivity, voiced
from rehearse.measured import Measured
from rehearse.room.levels import decibels, power_of, without_offset
from rehearse.room.values import Speaking

LEAST = 2.0  # seconds of voice that make a level; the sentence takes five
_AROUND = 0.15  # seconds before the first and after the last voice that belong to them
_BURIED = 5.0  # dB over the noise from which on a level can be told
_ERROR = 0.5  # dB of the method; see docs/measurements.md
_CUT_ERROR = 0.4  # share of what is cut off that the change of rate hides (hear/clipping.py)


def speaking(sound: Sound, noise: Measured, voice: VoiceActivity) -> Speaking:
    """What a sentence says about the voice on this microphone.

    sound: mono, at `RATE`, with some silence around the sentence. noise: level of the room, dB
    relative to full scale. voice: tells speech from other sound; its memory is cleared first.
    """
    with_voice = voiced(sound, voice)
    spoken = float(with_voice.sum()) * WINDOW / RATE
    part = _sentence(sound, with_voice)
    level = _level(without_offset(part), noise, spoken)
    share = clipped(part)
    return Speaking(
        level=level,
        over_noise=_over(level, noise),
        clipped=Measured(share, max(_CUT_ERROR * share, 1 / max(1, part.size))),
        peak=decibels(float(np.max(np.abs(part), initial=0.0)) ** 2),
        spoken=spoken,
    )


def _sentence(sound: Sound, with_voice: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Sound:
    """The sound from the first voice to the last; all of it when there is none."""
    found = np.flatnonzero(with_voice)
    if not found.size:
        return sound
    around = int(_AROUND * RATE)
    first = max(0, int(found[0]) * WINDOW - around)
    return sound[first : (int(found[-1]) + 1) * WINDOW + around]


def _level(part: Sound, noise: Measured, spoken: float) -> Measured:
    if spoken < LEAST:
        return Measured(None, 0.0, f"only {spoken:.1f} s of voice were heard")
    room = 0.0 if noise.value is None else power_of(noise.value)
    level = active_level(part, room)
    if level is None:
        return Measured(None, 0.0, "there is no sound")
    if noise.value is None:
        return Measured(level, _ERROR)
    over = level - noise.value
    if over < _BURIED:
        return Measured(None, 0.0, f"the voice is less than {_BURIED:.0f} dB over the room")
    # Of what the noise adds to the power, half is taken as unknown.
    return Measured(level, _ERROR + 5 * math.log10(1 + power_of(-over)))


def _over(level: Measured, noise: Measured) -> Measured:
    if level.value is None or noise.value is None:
        return Measured(None, 0.0, level.void or noise.void)
    return Measured(level.value - noise.value, level.error + noise.error)
