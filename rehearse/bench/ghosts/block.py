"""A block: half a minute of sound in which nobody says a step, always the same by its number."""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count

import numpy as np
import soxr

from rehearse.cues.waves import RATE as MADE_RATE
from rehearse.cues.waves import Chance, Samples
from rehearse.hear.recogniser import RATE, Sound

SECONDS = 30.0
# Of the loudest tenth of a block, dB over full scale: from across a room to right at the
# microphone. A calm voice is at -44 to -24.
LEVELS = (-54.0, -44.0, -34.0, -24.0, -14.0)

_GOLDEN = 0.618  # a stride by this share of a list comes everywhere soon
_PIECE = 0.05  # seconds whose power is one level
_LOUDEST = 10  # percent of the pieces that make the level
_HISS = (-78.0, -66.0, -58.0)  # dB over full scale, of a microphone and a quiet room


@dataclass(frozen=True, eq=False)
class Block:
    """Sound for the microphone.

    sound: mono at `RATE`. muted: stretches, seconds, in which hearing is muted as in practice.
    """

    sound: Sound
    muted: Sequence[tuple[float, float]] = ()

    @property
    def seconds(self) -> float:
        """How long it goes on."""
        return self.sound.size / RATE


def chance_of(kind: str, number: int) -> Chance:
    """The source of all that is drawn for one block of one kind."""
    return np.random.default_rng([zlib.crc32(kind.encode()), number])


def turn(number: int, *lengths: int) -> tuple[int, ...]:
    """Places in lists of these lengths, far apart from one number to the next.

    Every combination comes before any comes again.
    """
    total = math.prod(lengths)
    stride = next(
        step for step in count(max(1, round(_GOLDEN * total))) if math.gcd(step, total) == 1
    )
    left = number * stride % total
    found = []
    for length in lengths:
        left, place = divmod(left, length)
        found.append(place)
    return tuple(found)


def at_microphone(made: Samples, level: float, number: int, chance: Chance) -> Sound:
    """A computed sound as the microphone has it, over its hiss.

    made: at the rate of `rehearse.cues.waves`. level: of its loudest tenth, dB over full scale.
    What would leave the range of the samples is cut off there.
    """
    return heard(np.asarray(soxr.resample(made, MADE_RATE, RATE)), level, number, chance)


def heard(sound: Samples, level: float, number: int, chance: Chance) -> Sound:
    """The same for a sound that is at `RATE` already."""
    power = 10 ** (level / 10) / max(_loud(sound), 1e-15)
    hiss = chance.standard_normal(sound.size) * 10 ** (_HISS[number % len(_HISS)] / 20)
    cut: Sound = np.clip(sound * math.sqrt(power) + hiss, -1.0, 1.0).astype(np.float32)
    return cut


def echoed(sound: Samples, seconds: float, chance: Chance, share: float = 0.5) -> Samples:
    """The sound at `RATE` in a room whose echo falls by 60 dB in so many seconds.

    share: of the power that comes by way of the walls, 0..1. The echo of the last sound is cut off.
    """
    taps = round(seconds * RATE)
    if not taps or not sound.size:
        return sound
    tail = chance.standard_normal(taps) * 10 ** (-3 * np.arange(taps) / taps)
    tail[: RATE // 200] = 0.0  # the first wall is a metre and a half away
    tail *= math.sqrt(share / max(float(np.sum(tail**2)), 1e-12))
    tail[0] = math.sqrt(1 - share)
    length = sound.size + taps
    spectrum = np.fft.rfft(sound, length) * np.fft.rfft(tail, length)
    return np.asarray(np.fft.irfft(spectrum, length)[: sound.size])


def _loud(sound: Samples) -> float:
    """Mean power of the loudest tenth of the sound."""
    piece = round(_PIECE * RATE)
    whole = sound[: sound.size // piece * piece].reshape(-1, piece)
    power = np.sort(np.mean(np.square(whole), axis=1))[::-1]
    return float(power[: max(1, power.size * _LOUDEST // 100)].mean()) if power.size else 0.0
