"""Where in a recording a cue is that the loudspeaker played: how late sound comes through both.

The cue's own samples are laid along the recording and compared (normalised cross-correlation).
Through a headset nothing is found, and nothing is claimed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Sound = npt.NDArray[np.float32]

LONGEST = 1.0  # seconds a cue may come late; a wireless loudspeaker takes a third of that
# The likeness, 0..1, from which a cue counts as heard. Under speech or noise of equal power it is
# 0.7; noise alone reaches 0.1 with a sound of two seconds, a hum 0.2 with a chime.
ALIKE = 0.35
# A sound that is this much like itself a hundredth of a second and more later, as a bell or a beep
# is, does not tell when it began.
_VAGUE, _SHARP_SECONDS = 0.8, 0.01
_ERROR = 0.01  # seconds: what one cue may be off by, beside the spread over several


@dataclass(frozen=True)
class Latency:
    """seconds: the median over the cues heard. error: either way. cues: how many were heard."""

    seconds: float
    error: float
    cues: int


def latency(recording: Sound, given: Sequence[tuple[float, Sound]], rate: int) -> Latency | None:
    """How long after a cue was given it is heard in the recording; None when none is heard.

    given: the second of the recording at which each cue was given, and its samples.
    rate: samples a second, of both.
    """
    found = [lag for at, cue in given if (lag := _lag(recording, at, cue, rate)) is not None]
    if not found:
        return None
    middle = float(np.median(found))
    spread = max(abs(lag - middle) for lag in found)
    return Latency(round(middle, 4), round(_ERROR + spread, 4), len(found))


def _lag(recording: Sound, at: float, cue: Sound, rate: int) -> float | None:
    first = max(0, int(at * rate))
    piece = recording[first : first + len(cue) + int(LONGEST * rate)].astype(np.float64)
    if not cue.any() or len(piece) < len(cue) or _vague(cue.astype(np.float64), rate):
        return None
    alike = _likeness(piece, cue.astype(np.float64))
    best = int(np.argmax(alike))
    return best / rate if alike[best] >= ALIKE else None


def _vague(cue: npt.NDArray[np.float64], rate: int) -> bool:
    size = 1 << (2 * len(cue)).bit_length()
    itself = np.abs(np.fft.irfft(np.abs(np.fft.rfft(cue, size)) ** 2, size))
    later = itself[int(_SHARP_SECONDS * rate) : int(LONGEST * rate)]
    return bool(later.max(initial=0.0) > _VAGUE * itself[0])


def _likeness(
    piece: npt.NDArray[np.float64], cue: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Correlation coefficient of the cue with each stretch of the piece, without its sign."""
    size = 1 << (len(piece) + len(cue)).bit_length()
    spectrum = np.fft.rfft(piece, size) * np.conj(np.fft.rfft(cue, size))
    places = len(piece) - len(cue) + 1
    product = np.abs(np.fft.irfft(spectrum, size)[:places])
    summed = np.concatenate([[0.0], np.cumsum(piece**2)])
    power = summed[len(cue) :] - summed[: len(summed) - len(cue)]
    quiet = 1e-9 * len(cue)  # stretches without sound are like nothing
    return np.asarray(product / np.sqrt(np.maximum(power, quiet) * np.sum(cue**2)))
