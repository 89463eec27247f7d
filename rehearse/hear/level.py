"""Active speech level: how loud a voice is while it speaks, after ITU-T P.56, method B.

The recommendation is written for speech of many seconds. What is said in a moment, and in noise,
is measured by `speech_level`; it says how far it may be off.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from rehearse.hear.background import background
from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured

_BLOCK = RATE // 1000  # the envelope is computed each millisecond
_SMOOTHING = 30  # blocks, the envelope's time constant
_MEMORY = 20 * _SMOOTHING  # blocks after which the envelope has forgotten: 2e-8 is left
_HANGOVER = 200  # blocks the signal stays active after it fell under a threshold
_MARGIN = 15.9  # dB between the active level and the threshold of activity
_THRESHOLDS = 2.0 ** np.arange(-15, 1)
_OVER_NOISE = 0.5  # the lowest threshold over the mean envelope of the background

_LEAST = 0.05  # seconds that are too few for a level
_BURIED = 0.5  # share of noise in the power from which on there is no level
_ERROR = 0.5  # dB; where speech ends and a pause begins is a convention: see docs/measurements.md
_END_ERROR = 0.3  # dB seconds: divided by the length

Envelope = npt.NDArray[np.float64]


def active_level(sound: Sound, noise: float = 0.0) -> float | None:
    """Active speech level in dB relative to full scale; None when the sound is silent.

    The recommendation as it stands, the envelope taken each millisecond. Sound of less than half a
    second gives a rough figure: see `speech_level`.

    noise: mean power of the background, which then does not count; 0 as the recommendation has it.
    """
    blocks = _blocks(sound)
    return _over_noise(blocks, _envelope(blocks), noise)


def speech_level(sound: Sound, start: float, end: float) -> Measured:
    """Level of what is said between two times of a sound, dB relative to full scale.

    The active level that it would have if the speaker went on saying it, less what the background
    adds. Taken once, a shout of 0.3 s would lose the time in which the envelope rises, 0.6 dB, or
    gain a hangover of silence, 2.7 dB; both are nothing in the half minute of a calm reading.

    start, end: seconds, the first and the last sound of what is said. `sound` goes on around
    them: the background is measured there.
    """
    part = sound[max(0, int(start * RATE)) : max(0, int(end * RATE))]
    if part.size < _LEAST * RATE:
        return Measured(None, 0.0, "too short for a level")
    noise = background(sound, start, end)
    share = noise / max(float(np.mean(np.square(part, dtype=np.float64))), 1e-20)
    if share >= _BURIED:
        return Measured(None, 0.0, "it does not stand out from the background")
    level = _going_on(part, noise)
    if level is None:
        return Measured(None, 0.0, "there is no sound")
    # An end that is 0.1 s late counts for more in a short shout; of what the background adds, half
    # is taken as unknown.
    error = _ERROR + _END_ERROR * RATE / part.size - 5 * math.log10(1 - share)
    return Measured(level, error)


def _going_on(part: Sound, noise: float) -> float | None:
    """Active level of a stretch that is said over and over, without the power of the noise."""
    blocks = _blocks(part)
    times = 1 + math.ceil(_MEMORY / len(blocks))
    return _over_noise(blocks, _envelope(np.tile(blocks, (times, 1))), noise)


def _over_noise(blocks: Envelope, envelope: Envelope, noise: float) -> float | None:
    """Active level of blocks whose envelope is the last of `envelope`, without the noise."""
    floor = math.sqrt(2 / math.pi * noise)  # the envelope of the noise alone, were it Gaussian
    envelope = np.sqrt(np.maximum(0.0, np.square(envelope) - floor**2)) if noise else envelope
    energy = float(np.sum(np.square(blocks))) - noise * blocks.size
    return _level(energy, envelope, _OVER_NOISE * floor, last=len(blocks))


def _blocks(sound: Sound) -> Envelope:
    whole: Envelope = np.reshape(sound[: sound.size // _BLOCK * _BLOCK], (-1, _BLOCK)).astype(
        np.float64
    )
    return whole


def _envelope(blocks: Envelope) -> Envelope:
    """The rectified signal through two exponential averages in a row, one value a block."""
    keep = math.exp(-1 / _SMOOTHING)
    at = np.arange(min(_MEMORY, len(blocks)) or 1)
    answer = (1 - keep) ** 2 * (at + 1) * keep**at  # what both averages make of one pulse
    rectified = np.mean(np.abs(blocks), axis=1) if len(blocks) else np.zeros(1)
    smooth: Envelope = np.convolve(rectified, answer)[: len(blocks)]
    return smooth


def _level(energy: float, envelope: Envelope, lowest: float, *, last: int) -> float | None:
    """The level at which the margin is met, in dB, between two thresholds at least `lowest`.

    energy: of the last so many blocks, in which activity is counted.
    """
    if energy <= 0.0:
        return None
    tried: list[tuple[float, float]] = []  # level by this threshold, and how far it is over it
    for threshold in _THRESHOLDS[lowest <= _THRESHOLDS]:
        active = _active_blocks(envelope, threshold, last)
        if not active:
            break
        level = 10 * math.log10(energy / (active * _BLOCK))
        tried.append((level, level - 20 * math.log10(threshold)))
    for (level, above), (next_level, next_above) in pairwise(tried):
        if above > _MARGIN >= next_above:
            share = (above - _MARGIN) / (above - next_above)
            return level + share * (next_level - level)
    if not tried:
        return None
    return tried[0][0] if tried[0][1] <= _MARGIN else tried[-1][0]


def _active_blocks(envelope: Envelope, threshold: float, last: int) -> int:
    """Of the last blocks those at or over the threshold, and those in its hangover."""
    at = np.arange(len(envelope))
    over = np.maximum.accumulate(np.where(envelope >= threshold, at, -_HANGOVER - 1))
    return int(np.count_nonzero((at - over <= _HANGOVER)[-last:]))
