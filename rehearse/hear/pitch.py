"""Pitch: how high a voice is, from how its sound repeats itself."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_LOWEST, _HIGHEST = 60.0, 700.0  # hertz: a deep calm voice and a high one that shouts
_HOP = RATE // 100
_WINDOW = 40 * RATE // 1000  # samples compared, two periods of the lowest voice and more
_SHORTEST, _LONGEST = int(RATE / _HIGHEST), int(RATE / _LOWEST)
_FFT = 1024  # holds a window and the longest lag
_UNLIKE = 0.25  # difference between a voiced frame and itself a period later, 0 is none
_QUIET = 0.06  # power under the loudest frame (12 dB) that is passed over: noise hides it
_LEAST = 5  # voiced frames without which there is no pitch
_STEADY = 1.15  # the most by which neighbouring frames of one voice differ
_SCATTERED = 0.5  # spread of the middle half of the frames, as a share of their median
_ALIKE = 4  # neighbouring frames that say nothing new, for their windows overlap
_ERROR = 0.01  # share of the pitch

Values = npt.NDArray[np.float64]


def pitch(sound: Sound, start: float = 0.0, end: float | None = None) -> Measured:
    """Median pitch of the voiced sound between two times, hertz.

    Each 10 ms is compared with itself a little later; the shortest lag after which it is nearly
    the same is its period (the cumulative mean normalised difference of the YIN estimator, de
    Cheveigné and Kawahara 2002). Frames that agree with no neighbour are passed over.

    start, end: seconds; the end of the sound when `end` is left out. error: of the median, by how
    the frames vary. Void when too little of it is voiced.
    """
    until = sound.size if end is None else int(end * RATE)
    found = _frames(sound[max(0, int(start * RATE)) : until])
    if len(found) < _LEAST:
        return Measured(None, 0.0, "too little of it was voiced")
    middle = float(np.median(found))
    spread = float(np.percentile(found, 75) - np.percentile(found, 25))
    if spread > _SCATTERED * middle:
        return Measured(None, 0.0, "its pitch does not stand out from the background")
    return Measured(middle, _ERROR * middle + spread / (len(found) / _ALIKE) ** 0.5)


def _frames(part: Sound) -> list[float]:
    """The pitch of the voiced frames that have a neighbour like them, hertz."""
    if part.size < _WINDOW + _LONGEST:
        part = np.pad(part, (0, _WINDOW + _LONGEST - part.size))
    windows = np.lib.stride_tricks.sliding_window_view(part, _WINDOW + _LONGEST)[::_HOP]
    frames = windows.astype(np.float64)
    power = np.mean(np.square(frames), axis=1)
    frames = frames[power > _QUIET * power.max(initial=0.0)]
    pitches = [_pitch(unlike) for unlike in _differences(frames)] if len(frames) else []
    return [
        (one + other) / 2
        for one, other in pairwise(pitches)
        if one and other and max(one, other) < _STEADY * min(one, other)
    ]


def _differences(frames: Values) -> Values:
    """By frame and lag, from 0 to the longest: how unlike the frame is to itself that much later.

    As a share of its mean over all shorter lags.
    """
    begin = frames[:, :_WINDOW]
    spectra = np.conj(np.fft.rfft(begin, _FFT)) * np.fft.rfft(frames, _FFT)
    product = np.fft.irfft(spectra, _FFT)[:, : _LONGEST + 1]
    summed = np.cumsum(np.pad(np.square(frames), ((0, 0), (1, 0))), axis=1)
    later = summed[:, _WINDOW : _WINDOW + _LONGEST + 1] - summed[:, : _LONGEST + 1]
    unlike = np.maximum(0.0, later[:, :1] + later - 2 * product)
    lags = np.arange(1, _LONGEST + 1)
    mean = np.cumsum(unlike[:, 1:], axis=1) / lags
    shares: Values = np.ones_like(unlike)
    shares[:, 1:] = unlike[:, 1:] / np.maximum(mean, 1e-12)
    return shares


def _pitch(unlike: Values) -> float:
    """The pitch of one frame, hertz; 0 when it is not voiced."""
    alike = np.flatnonzero(unlike[_SHORTEST:] < _UNLIKE)
    if not alike.size:
        return 0.0
    lag = _SHORTEST + int(alike[0])
    while lag + 1 < len(unlike) and unlike[lag + 1] < unlike[lag]:
        lag += 1
    if lag + 1 >= len(unlike):
        return 0.0
    before, here, after = unlike[lag - 1 : lag + 2]
    bend = before - 2 * here + after
    return RATE / (lag + (0.5 * (before - after) / bend if bend > 0 else 0.0))
