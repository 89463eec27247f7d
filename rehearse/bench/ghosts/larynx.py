"""A voice that says no word: pulses of a larynx, shaped by a mouth, and breath."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rehearse.cues.waves import RATE, Chance, Samples, noise, times

# Hertz of the first three resonances of a man's mouth (Peterson and Barney, 1952, rounded).
VOWELS = {
    "a": (730.0, 1090.0, 2440.0),
    "e": (530.0, 1840.0, 2480.0),
    "i": (270.0, 2290.0, 3010.0),
    "o": (570.0, 840.0, 2410.0),
    "u": (300.0, 870.0, 2240.0),
    "@": (500.0, 1500.0, 2500.0),
}
MAN, WOMAN, CHILD = 1.0, 1.17, 1.5  # by which all resonances are higher

_CONTROL = 48  # samples from one setting of mouth and pitch to the next, 2 ms
_HIGHEST = 6500.0  # hertz, of the highest harmonic
_HIGHER = (3400.0, 4500.0)  # hertz, of the resonances that no vowel moves
_WIDTHS = (80.0, 110.0, 170.0, 250.0, 350.0)  # hertz, of the resonances


def voiced(
    pitch: Samples,
    vowels: Sequence[str],
    chance: Chance,
    *,
    size: float = MAN,
    breath: float = 0.03,
    calm: float = 1.0,
) -> Samples:
    """A voice whose mouth goes evenly from vowel to vowel, of about the same loudness throughout.

    pitch: hertz for each sample. size: how much smaller than a man's the mouth is.
    breath: share of noise in it. calm: by which power of their number the harmonics become weaker:
        1 for calm speech, less for a voice that is pressed.
    """
    count = len(pitch)
    frames = np.arange(0, count + _CONTROL, _CONTROL)
    shaky = 1 + 0.008 * _wandering(len(frames), chance)
    hertz = np.interp(frames, np.arange(count), pitch) * shaky
    mouth = size * _mouth(vowels, len(frames))
    phase = 2 * math.pi * np.cumsum(np.interp(np.arange(count), frames, hertz)) / RATE
    sound = np.zeros(count)
    for number in range(1, int(_HIGHEST / max(60.0, float(hertz.min()))) + 1):
        strength = _resonance(number * hertz, mouth) / number**calm
        strength[number * hertz > _HIGHEST] = 0.0
        sound += np.interp(np.arange(count), frames, strength) * np.sin(number * phase)
    sound /= max(float(np.sqrt(np.mean(sound**2))), 1e-9)
    return np.asarray(sound + breath * breathed(count / RATE, chance)[:count])


def breathed(seconds: float, chance: Chance, low: float = 500.0, high: float = 4500.0) -> Samples:
    """Air through an open mouth, of mean square 1."""
    flutter = 1 + 0.3 * np.interp(
        times(seconds), np.arange(0, seconds + 0.1, 0.05),
        _wandering(len(np.arange(0, seconds + 0.1, 0.05)), chance),
    )  # fmt: skip
    return noise(seconds, low, high, chance)[: len(flutter)] * flutter


def gliding(seconds: float, *hertz: float) -> Samples:
    """A pitch that goes evenly through these frequencies."""
    at = times(seconds)
    return np.asarray(np.interp(at, np.linspace(0, seconds, len(hertz)), hertz))


def _mouth(vowels: Sequence[str], frames: int) -> Samples:
    """The resonances, shape (frames, 5)."""
    set_to = np.array([(*VOWELS[vowel], *_HIGHER) for vowel in vowels])
    along = np.linspace(0, len(set_to) - 1, frames)
    each = [np.interp(along, np.arange(len(set_to)), set_to[:, at]) for at in range(len(_WIDTHS))]
    return np.stack(each, axis=1)


def _resonance(hertz: Samples, mouth: Samples) -> Samples:
    """How much the mouth lets through of a frequency, frame by frame."""
    gain = np.ones(len(hertz))
    for at, width in enumerate(_WIDTHS):
        middle = mouth[:, at]
        gain *= middle**2 / np.sqrt((middle**2 - hertz**2) ** 2 + (width * hertz) ** 2)
    return gain


def _wandering(count: int, chance: Chance) -> Samples:
    """A slow random curve of about unit size."""
    steps = chance.standard_normal(count + 12)
    smooth = np.convolve(steps, np.hanning(13), mode="valid")
    return np.asarray(smooth / max(float(smooth.std()), 1e-9))
