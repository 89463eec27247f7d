"""Which short moments of a sound hold more than its background, told band by band.

A hiss that is weak beside the engines' rumble is loud where the engines are not; one figure for
all frequencies would miss the first sounds of "this" or "slide" in a cabin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound

HOP = RATE // 200  # samples from one moment to the next, 5 ms
_WINDOW = 256  # samples, 16 ms
# Hertz. The lowest sound of "b" and "d" lies where engines are loudest: with and without it.
_BANDS = ((60, 500), (200, 500), (500, 1200), (1200, 2800), (2800, 5000), (5000, 7800))
_SMOOTH = 5  # moments averaged
_QUIET = 10  # percentile of a band's averages that is its background
_QUIET_SMOOTH = 16  # moments in such an average
_OVER = 2.5  # power over the background in one band
_UNDER_PEAK = 1e-4  # power under the loudest moment near by (40 dB) that is silence
_NEAR = 120  # moments before and after that are near by, 0.6 s
_CLOSURE = 14  # moments that a stop consonant may be silent within a sound
_CLICK = 7  # moments; anything shorter is no speech

Powers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Stretch:
    """Something that sounds without a pause, from one moment to before another."""

    first: int
    end: int


@dataclass(frozen=True)
class Presence:
    """The moments of a sound. ratio: how loud its voice is over its background, dB."""

    stretches: tuple[Stretch, ...]
    ratio: float


def presence(sound: Sound) -> Presence:
    """What stands out from the background, in moments of `HOP` samples from the sound's start."""
    bands = _bands(sound)
    if not len(bands):
        return Presence((), 0.0)
    floor = np.percentile(_averaged(bands, _QUIET_SMOOTH), _QUIET, axis=0)
    smooth = _averaged(bands, _SMOOTH)
    total = smooth.sum(axis=1)
    heard = (smooth > _OVER * floor).any(axis=1) & (total > _UNDER_PEAK * _loudest_near(total))
    stretches = tuple(_stretches(heard & (total > 1e-12)))
    loud = float(np.percentile(total[heard], 75)) if heard.any() else 0.0
    noise = max(float(floor.sum()), 1e-12)
    return Presence(stretches, 10 * float(np.log10(max(loud / noise, 1e-9))))


def _bands(sound: Sound) -> Powers:
    """Power by moment and band; a moment's window is centred on its middle."""
    around = np.pad(sound, (_WINDOW - HOP) // 2 + 1)
    if around.size < _WINDOW:
        return np.zeros((0, len(_BANDS)))
    windows = np.lib.stride_tricks.sliding_window_view(around, _WINDOW)[::HOP]
    spectra = np.square(np.abs(np.fft.rfft(windows * np.hanning(_WINDOW), axis=1)))
    summed = np.cumsum(spectra, axis=1) / _WINDOW**2
    edges = np.array(_BANDS) * _WINDOW // RATE
    powers: Powers = summed[:, edges[:, 1]] - summed[:, edges[:, 0]]
    return powers


def _averaged(bands: Powers, width: int) -> Powers:
    width = min(width, len(bands))
    summed = np.cumsum(np.pad(bands, ((width // 2 + 1, (width - 1) // 2), (0, 0))), axis=0)
    averaged: Powers = (summed[width:] - summed[:-width]) / width
    return averaged


def _loudest_near(total: Powers) -> Powers:
    padded = np.pad(total, _NEAR)
    loudest: Powers = np.lib.stride_tricks.sliding_window_view(padded, 2 * _NEAR + 1).max(axis=1)
    return loudest


def _stretches(heard: npt.NDArray[np.bool_]) -> Iterator[Stretch]:
    """Runs of moments, joined over closures, without clicks."""
    turns = np.flatnonzero(np.diff(np.concatenate([[False], heard, [False]]).astype(np.int8)))
    runs = [(int(a), int(b)) for a, b in turns.reshape(-1, 2) if b - a >= _CLICK]
    while runs:
        first, end = runs.pop(0)
        while runs and runs[0][0] - end <= _CLOSURE:
            end = runs.pop(0)[1]
        yield Stretch(first, end)
