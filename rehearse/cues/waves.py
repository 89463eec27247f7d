"""What cue sounds are put together from: tones, noises, envelopes, and how they are joined.

Every function gives mono samples at `RATE`; what is drawn at random comes from a source that is
handed in, so that a sound is the same each time.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float64]
Chance = np.random.Generator

RATE = 24000  # samples a second: all that a cabin loudspeaker gives, and cheap to compute


def times(seconds: float) -> Samples:
    """The time of each sample, seconds, shape (n,)."""
    return np.arange(round(seconds * RATE), dtype=np.float64) / RATE


def tone(hertz: float | Samples, seconds: float, overtones: Iterable[float] = ()) -> Samples:
    """A tone, of one pitch or of a pitch for each sample.

    overtones: strength of the second, third ... harmonic against the first.
    """
    pitch = np.broadcast_to(np.asarray(hertz, dtype=np.float64), times(seconds).shape)
    phase = 2 * math.pi * np.cumsum(pitch) / RATE
    sound = np.sin(phase)
    for number, strength in enumerate(overtones, start=2):
        sound = sound + strength * np.sin(number * phase)
    return sound


def noise(seconds: float, low: float, high: float, chance: Chance) -> Samples:
    """Noise between two frequencies, hertz, with a root mean square of 1."""
    count = round(seconds * RATE)
    if not count:
        return np.zeros(0)
    spectrum = np.fft.rfft(chance.standard_normal(count))
    pitch = np.fft.rfftfreq(count, 1 / RATE)
    # Slopes instead of edges: an edge rings.
    slope = 1 / (1 + (low / np.maximum(pitch, 1e-9)) ** 4) / (1 + (pitch / high) ** 4)
    sound = np.fft.irfft(spectrum * slope, count)
    return np.asarray(sound / max(float(np.sqrt(np.mean(sound**2))), 1e-12))


def struck(seconds: float, decay: float, attack: float = 0.004) -> Samples:
    """The envelope of something struck: it rises within `attack` and falls to 1/e in `decay`."""
    at = times(seconds)
    return np.minimum(at / attack, 1.0) * np.exp(-at / decay)


def swelling(seconds: float, period: float, depth: float) -> Samples:
    """An envelope that goes up and down between 1 and 1 - depth once a period."""
    return 1 - depth * (0.5 + 0.5 * np.cos(2 * math.pi * times(seconds) / period))


def edged(sound: Samples, rise: float, fall: float) -> Samples:
    """The sound, faded in and out, so that it begins and ends without a click."""
    count = len(sound)
    up = np.minimum(np.arange(count) / max(1.0, rise * RATE), 1.0)
    down = np.minimum(np.arange(count)[::-1] / max(1.0, fall * RATE), 1.0)
    return np.asarray(sound * up * down)


def laid(seconds: float, parts: Iterable[tuple[float, Samples]]) -> Samples:
    """Sounds laid over each other, each from its second on; what reaches beyond is cut off."""
    whole = np.zeros(round(seconds * RATE))
    for start, part in parts:
        at = round(start * RATE)
        room = max(0, len(whole) - at)
        whole[at : at + len(part)] += part[:room]
    return whole


def knocks(seconds: float, at: Iterable[float], knock: Callable[[], Samples]) -> Samples:
    """One knock at each of these seconds, every one made anew."""
    return laid(seconds, ((start, knock()) for start in at))


def moments(seconds: float, every: float, spread: float, chance: Chance) -> list[float]:
    """Seconds about `every` apart, each off by up to `spread` either way."""
    count = int(seconds / every) + 1
    drawn = np.arange(count) * every + chance.uniform(-spread, spread, count)
    return [float(second) for second in drawn if 0 <= second < seconds]


def peaked(sound: Samples, peak: float) -> Samples:
    """The sound with this largest value."""
    return np.asarray(sound * (peak / max(float(np.abs(sound).max(initial=0.0)), 1e-12)))
