"""Hum: the lines at the frequency of the mains and its multiples, above the noise around them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured
from rehearse.room.levels import decibels
from rehearse.room.values import Hum

MAINS = (50, 60)  # hertz, wherever there is a socket
_LINES = 10  # multiples that are looked at
_LOW = 3  # of which one of so many must stand out: a single tone higher up is something else
_WINDOW = RATE  # samples: bins of one hertz
_HALF_LINE = 2  # bins on each side that a line of a Hann window spreads over
_AROUND = (4, 12)  # hertz beside a line, where the noise under it is taken from
_STANDS_OUT = 10.0  # times the noise around: averaged noise never reaches 3
_ERROR = 0.5  # dB; see docs/measurements.md

Spectrum = npt.NDArray[np.float64]


def hum(still: Sound) -> Hum | None:
    """The hum in some seconds without speech; None where no line of the mains stands out.

    still: mono, at `RATE`, without constant offset; under two seconds nothing is found.
    """
    spectrum = _spectrum(still)
    if spectrum is None:
        return None
    found = max(MAINS, key=lambda hertz: _above(spectrum, hertz)[0])
    power, under = _above(spectrum, found)
    if power <= 0.0:
        return None
    # Of the noise that lies under the lines, half is taken as unknown.
    return Hum(found, Measured(decibels(power), _ERROR + 5 * float(np.log10(1 + under / power))))


def _above(spectrum: Spectrum, hertz: int) -> tuple[float, float]:
    """Power of the lines of a mains frequency, and of the noise under them; 0 without hum."""
    power = noise = 0.0
    stands_out = False
    for line in range(hertz, hertz * _LINES + 1, hertz):
        inside = spectrum[line - _HALF_LINE : line + _HALF_LINE + 1]
        near, far = _AROUND
        beside = np.concatenate([
            spectrum[line - far : line - near], spectrum[line + near : line + far]
        ])  # fmt: skip
        under = float(np.mean(beside)) * len(inside)
        whole = float(np.sum(inside))
        power += whole - under
        noise += under
        stands_out |= line <= hertz * _LOW and whole > _STANDS_OUT * under
    return (power, noise) if stands_out else (0.0, 0.0)


def _spectrum(still: Sound) -> Spectrum | None:
    """Mean power in each hertz, shape (RATE // 2 + 1,); its sum is the power of the sound."""
    if still.size < 2 * _WINDOW:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(still, _WINDOW)[:: _WINDOW // 2]
    shape = np.hanning(_WINDOW + 1)[:_WINDOW]
    powers = np.mean(np.square(np.abs(np.fft.rfft(windows * shape, axis=1))), axis=0)
    spectrum: Spectrum = 2 * powers / (_WINDOW * np.sum(shape**2))
    return spectrum
