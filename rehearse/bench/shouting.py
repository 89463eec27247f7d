"""Shouts put together into one sound, so that the truth about each is known.

Nothing here uses what measures a drill: an onset is where a clean clip begins to sound, a level is
what it was scaled to, an interval is where it was put.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rehearse.hear.recogniser import RATE, Sound

CALM = -44.0  # dB over full scale: every clip's level before its gain
_SMOOTH = RATE * 5 // 1000  # samples over which power is averaged
_QUIET = 1e-4  # power under the loudest 5 ms (40 dB) that is not heard; clips are still far quieter
_PAUSE = RATE // 5  # a longer silence within a clip does not count for its level
_ROLL_OFF = 500.0  # hertz: cabin noise falls by 6 dB an octave above

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Clip:
    """One saying by one voice at the level `CALM`.

    sound: the whole clip. begin, end: samples between which it is heard; end exclusive.
    """

    sound: Sound
    begin: int
    end: int

    @property
    def seconds(self) -> float:
        """From its first sound to its last."""
        return (self.end - self.begin) / RATE


@dataclass(frozen=True)
class Said:
    """One saying as it was put into a sound.

    start, end: seconds from the beginning of the sound to its first and last sound.
    gain: dB over the calm level. right: whether it says what `answer` ("stage.answer") asks.
    """

    text: str
    answer: str
    right: bool
    start: float
    end: float
    gain: float


def clip(sound: Sound) -> Clip:
    """A synthesised saying with its first and last sound found and its level set.

    Raises:
        ValueError: it is silent.
    """
    power = _power(sound)
    loud = power > _QUIET * power.max(initial=0.0)
    if not loud.any():
        raise ValueError("the clip is silent")
    begin, end = int(loud.argmax()), len(loud) - int(loud[::-1].argmax())
    kept = sound[begin:end][~_pauses(loud[begin:end])]
    level = 10 * np.log10(np.mean(np.square(kept, dtype=np.float64)))
    scaled: Sound = (sound * 10 ** ((CALM - level) / 20)).astype(np.float32)
    return Clip(scaled, begin, end)


def _power(sound: Sound) -> Floats:
    """Mean square of the 5 ms around each sample."""
    power: Floats = np.convolve(
        np.square(sound, dtype=np.float64), np.full(_SMOOTH, 1 / _SMOOTH), mode="same"
    )
    return power


def _pauses(loud: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Which samples lie in a silence too long to be a part of a word."""
    edges = np.flatnonzero(np.diff(np.concatenate([[True], loud, [True]]).astype(np.int8)))
    silent = np.zeros(len(loud), np.bool_)
    for begin, end in edges.reshape(-1, 2):
        silent[begin:end] = end - begin > _PAUSE
    return silent


def mixed(
    sayings: Sequence[tuple[Said, Clip]], seconds: float, snr: float | None, seed: int
) -> Sound:
    """The sayings, each with its clip, at their times and gains, in cabin noise.

    seconds: length of the whole. snr: dB from the noise to the median level of the sayings; None
    for no noise. What would leave the range of the samples is cut off there, as a device does.

    Raises:
        ValueError: a saying does not fit in.
    """
    sound = np.zeros(round(seconds * RATE), np.float64)
    for said, voice in sayings:
        at = round(said.start * RATE) - voice.begin
        if at < 0 or at + voice.sound.size > sound.size:
            raise ValueError(f"{said.text!r} at {said.start:.2f} s does not fit in")
        sound[at : at + voice.sound.size] += voice.sound * 10 ** (said.gain / 20)
    if snr is not None:
        level = CALM + float(np.median([said.gain for said, _ in sayings])) - snr
        sound += cabin_noise(sound.size, seed) * 10 ** (level / 20)
    cut: Sound = np.clip(sound, -1.0, 1.0).astype(np.float32)
    return cut


def cabin_noise(samples: int, seed: int) -> Floats:
    """Steady noise that falls by 6 dB an octave above 500 Hz, of mean square 1."""
    white = np.random.default_rng(seed).standard_normal(samples)
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    shaped = np.fft.irfft(np.fft.rfft(white) / np.sqrt(1 + (hertz / _ROLL_OFF) ** 2), samples)
    noise: Floats = shaped / np.sqrt(np.mean(np.square(shaped)))
    return noise
