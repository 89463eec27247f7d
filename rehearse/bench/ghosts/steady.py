"""Silence, and the noise of a cabin under way."""

from __future__ import annotations

import math

import numpy as np

from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, at_microphone, turn
from rehearse.cues.waves import RATE as MADE_RATE
from rehearse.cues.waves import Chance, Samples, noise, struck, swelling, times, tone
from rehearse.hear.recogniser import RATE, Sound

_STEP = 1 / 32768  # the smallest step of a sample of 16 bits
_SLOPES = ((200.0, 2.0), (500.0, 1.0), (1500.0, 1.0), (90.0, 1.5))  # hertz, and in powers of it
_WHINES = ((), (410.0,), (118.0, 236.0, 1480.0))  # hertz, of fans and engines


def silence(number: int, chance: Chance) -> Block:
    """Digital silence, its smallest steps, a quiet room, and one with a hum from the mains."""
    (which,) = turn(number, 5)
    count = round(SECONDS * RATE)
    white = chance.standard_normal(count)
    at = np.arange(count) / RATE
    hum = sum((np.sin(100 * math.pi * n * at) / n for n in (1, 2, 3, 5)), np.zeros(count))
    made = (
        np.zeros(count),
        np.round(0.7 * white) * _STEP,
        10 ** (-70 / 20) * white,
        10 ** (-52 / 20) * white,
        10 ** (-70 / 20) * white + 10 ** (-50 / 20) * hum + 0.01,
    )[which]
    sound: Sound = made.astype(np.float32)
    return Block(sound)


def cabin(number: int, chance: Chance) -> Block:
    """Steady noise of four spectra with fans and engines, quiet to roaring, with bumps."""
    slope, level, whine = turn(number, len(_SLOPES), len(LEVELS), len(_WHINES))
    roll, power = _SLOPES[slope]
    made = _sloping(roll, power, chance) * swelling(SECONDS, 9.0, 0.2)
    for hertz in _WHINES[whine]:
        made = made + 0.2 * tone(hertz, SECONDS, (0.4, 0.2))
    if number % 2:
        made = made + 0.5 * _bumps(chance)
    return Block(at_microphone(made, LEVELS[level], number, chance))


def _sloping(roll: float, power: float, chance: Chance) -> Samples:
    """Noise that falls from a frequency on, of mean square 1."""
    white = chance.standard_normal(len(times(SECONDS)))
    hertz = np.fft.rfftfreq(white.size, 1 / MADE_RATE)
    shaped = np.fft.irfft(np.fft.rfft(white) / (1 + (hertz / roll) ** 2) ** (power / 2), white.size)
    return np.asarray(shaped / np.sqrt(np.mean(np.square(shaped))))


def _bumps(chance: Chance) -> Samples:
    """Things that rattle and shut."""
    whole = np.zeros(len(times(SECONDS)))
    for _ in range(8):
        at = int(chance.uniform(0, whole.size - MADE_RATE))
        low = float(chance.uniform(100, 500))
        bump = noise(0.5, low, 8 * low, chance) * struck(0.5, 0.05)
        whole[at : at + bump.size] += float(chance.uniform(1, 5)) * bump
    return whole
