"""The shape of a recording: a bounded number of peaks, however long it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from rehearse.hear.recogniser import RATE, Sound

MOST_PEAKS = 16384  # twice as many are never held; a minute gets its full detail
_FINEST = 160  # samples: ten milliseconds, finer than a picture shows
_FOLD = 1 << 18  # samples that wait to be folded in, about sixteen seconds


@dataclass(frozen=True)
class Waveform:
    """The loudest sample of every stretch of `seconds`, 0..1 of full scale, in order."""

    seconds: float
    peaks: tuple[float, ...]

    @property
    def duration(self) -> float:
        """Length of the recording in seconds, rounded up to a whole stretch."""
        return self.seconds * len(self.peaks)


def waveform(pieces: Iterable[Sound], most: int = MOST_PEAKS) -> Waveform:
    """The shape of the sound in `pieces`, read once, in memory that does not grow with it.

    Stretches start at ten milliseconds and double whenever there would be more than `most`.
    """
    size = _FINEST
    peaks = np.zeros(0, np.float32)
    waiting: list[Sound] = []
    for piece in pieces:
        waiting.append(np.abs(piece))
        if sum(map(len, waiting)) >= _FOLD:
            peaks, rest, size = _folded(peaks, np.concatenate(waiting), size, most)
            waiting = [rest]
    peaks, rest, size = _folded(peaks, np.concatenate([peaks[:0], *waiting]), size, most)
    if len(rest):
        peaks = np.append(peaks, rest.max())
    return Waveform(size / RATE, tuple(float(peak) for peak in np.minimum(peaks, 1.0)))


def _folded(peaks: Sound, loud: Sound, size: int, most: int) -> tuple[Sound, Sound, int]:
    """The peaks with those of `loud` after them, what was too short for one, and the new size."""
    whole = len(loud) // size * size
    peaks = np.concatenate([peaks, loud[:whole].reshape(-1, size).max(axis=1)])
    rest = loud[whole:]
    while len(peaks) > most:
        if len(peaks) % 2:
            # The odd stretch is half of a doubled one: its peak waits with the rest.
            rest = np.concatenate([np.full(size, peaks[-1], np.float32), rest])
            peaks = peaks[:-1]
        peaks = peaks.reshape(-1, 2).max(axis=1)
        size *= 2
    return peaks, rest, size
