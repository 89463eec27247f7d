"""When a word begins and ends, from the sound itself: a recogniser only says roughly where."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from rehearse.hear.presence import HOP, Presence, presence
from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_AROUND = 2.5  # seconds around the word in which the background is measured
_EARLY = 0.8  # seconds after the recogniser's time in which a word without an end may begin
_ENOUGH = 0.03  # seconds of a word that are heard before the recogniser ends it
_LATE = 0.35  # seconds the recogniser's time may be after the word's begin
_SILENCE = 0.15  # seconds: no word is silent for so long within itself
_CLEAR, _NOISY = 35.0, 15.0  # dB of voice over background: nothing is hidden, and much is
_HIDDEN = 0.02  # seconds of a word's begin that the background hides on average at `_NOISY`
_HIDDEN_END = 0.05  # seconds of its end likewise
_ON = 1.0  # seconds after the recogniser's end in which a word may still sound
_ERROR, _NOISY_ERROR = 0.03, 0.07  # seconds; see docs/measurements.md
_END_ERROR, _NOISY_END_ERROR = 0.05, 0.2
_NO_PAUSE_ERROR = 0.25  # where the word follows another without a pause: the recogniser's

_NOTHING = Measured(None, 0.0, "nothing stands out from the background")


def onset(sound: Sound, about: float, *, ends: float | None = None, since: float = 0.0) -> Measured:
    """First sound of the word that a recogniser puts at `about`; seconds from the sound's start.

    Recognisers count the silence before a word as a part of it, and may be late by a quarter of a
    second; so the answer is where the sound that is there, or comes next, begins. A word that
    follows another without a pause is taken to begin where the recogniser has it.

    ends: the recogniser's end of the word; without it a silence before the word cannot be told
    from one after it. since: before it the word cannot begin, as the end of a cue in the same
    sound. Void when nothing stands out there.
    """
    first = max(0.0, since, about - _AROUND)
    found = presence(sound[int(first * RATE) : int((about + _AROUND) * RATE)])
    latest = about + _EARLY if ends is None else max(ends, about + 0.05)
    begin = _begin(found, about - first, latest - first)
    if begin is None:
        return _NOTHING
    if about - first - begin > _LATE:
        return Measured(about, _NO_PAUSE_ERROR)
    noisy = _noisy(found)
    value = max(first + begin - noisy * _HIDDEN, since)
    return Measured(value, _ERROR + noisy * (_NOISY_ERROR - _ERROR))


def ending(sound: Sound, about: float, *, until: float | None = None) -> Measured:
    """Last sound of the word that a recogniser lets end at `about`; seconds from the sound's start.

    The end of the sound that is there at `about`, or was last before it. Voices die away: under
    noise the end is known less well than the onset, and it comes out early.

    until: after it the word cannot end, as the start of a cue in the same sound, or of the next
    word that follows a pause.
    """
    last = min(sound.size / RATE, about + _AROUND, about + _AROUND if until is None else until)
    first = max(0.0, about - _AROUND)
    found = presence(sound[int(first * RATE) : int(last * RATE)])
    moment = HOP / RATE
    ends = [s.end * moment for s in found.stretches if s.first * moment < about - first]
    if not ends:
        return _NOTHING
    if first + ends[-1] - about > _ON:
        return Measured(about + _ON / 2, _NO_PAUSE_ERROR)
    noisy = _noisy(found)
    value = min(first + ends[-1] + noisy * _HIDDEN_END, last)
    return Measured(value, _END_ERROR + noisy * (_NOISY_END_ERROR - _END_ERROR))


def _noisy(found: Presence) -> float:
    """How much the background hides, 0..1."""
    return float(np.clip((_CLEAR - found.ratio) / (_CLEAR - _NOISY), 0.0, 1.0))


def _begin(found: Presence, about: float, latest: float) -> float | None:
    """Where the sound begins that is there at `about` or comes next, before `latest`."""
    moment = HOP / RATE
    near = [
        (stretch.first * moment, stretch.end * moment)
        for stretch in found.stretches
        if stretch.end * moment > about and stretch.first * moment < latest - _ENOUGH
    ]
    for (_, before), (after, _) in pairwise(tuple(near)):
        if after - before >= _SILENCE:
            near.pop(0)
    return near[0][0] if near else None
