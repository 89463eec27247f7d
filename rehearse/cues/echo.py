"""Where in a recording a cue is that the loudspeaker played.

The cue's own samples are laid along the recording and compared (normalised cross-correlation).
Through a headset nothing is found, and nothing is claimed.
"""

from __future__ import annotations

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
_TAIL_SECONDS = 0.8  # of a cue, by which its end is found
_EARLIER = 0.05  # seconds by which the end may come sooner after the beginning than it should
ERROR = 0.01  # seconds that a place may be off by, in a room with an echo


def heard_at(recording: Sound, given: float, cue: Sound, rate: int) -> float | None:
    """The second of the recording at which a cue begins to be heard; None where it is not heard.

    given: the second at which the device was given it. cue: its samples.
    rate: samples a second, of both.
    """
    first = max(0, int(given * rate))
    piece = recording[first : first + len(cue) + int(LONGEST * rate)].astype(np.float64)
    if not cue.any() or len(piece) < len(cue) or _vague(cue.astype(np.float64), rate):
        return None
    alike = _likeness(piece, cue.astype(np.float64))
    best = int(np.argmax(alike))
    return (first + best) / rate if alike[best] >= ALIKE else None


def heard(recording: Sound, given: float, cue: Sound, rate: int) -> tuple[float, float] | None:
    """Where in the recording a cue begins and ends, seconds; None where it is not heard.

    Its end is looked for by its own shape: a device that falters makes a cue longer than it is.
    Parameters as of `heard_at`.
    """
    begin = heard_at(recording, given, cue, rate)
    if begin is None:
        return None
    tail = cue[-int(_TAIL_SECONDS * rate) :]
    before = (len(cue) - len(tail)) / rate
    found = heard_at(recording, max(given, begin - _EARLIER) + before, tail, rate)
    return begin, (begin + before if found is None else found) + len(tail) / rate


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
