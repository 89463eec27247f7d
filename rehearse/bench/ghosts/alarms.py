"""The evacuation horn, chimes and sirens, and what happens around a door."""

from __future__ import annotations

import numpy as np

from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, at_microphone, turn
from rehearse.cues import scenes, signals
from rehearse.cues.waves import Chance, Samples, edged, laid, noise, times, tone

_CHIMES = (
    signals.chime_high,
    signals.chime_low,
    signals.chime_high_low,
    signals.three_low,
    signals.fast_beep,
)
_SCENES = (
    scenes.slide_filling,
    scenes.slide_hanging,
    scenes.door_driven,
    scenes.door_jammed,
    scenes.water,
    scenes.fire,
    scenes.engine,
    scenes.crowd,
    scenes.crowd_gone,
    scenes.decompression,
    scenes.impact,
)


def horn(number: int, chance: Chance) -> Block:
    """The horn of the cues, one that is switched on and off, and one of two tones; in noise too."""
    which, level, noisy = turn(number, 3, len(LEVELS), 2)
    made = (_rising, _broken, _two_toned)[which](chance)
    if noisy:
        made = made + 0.5 * scenes.crowd(SECONDS, chance)
    return Block(at_microphone(made, LEVELS[level], number, chance))


def chimes(number: int, chance: Chance) -> Block:
    """Chimes, beeps and sirens, a few seconds each, with a silence between them."""
    (level,) = turn(number, len(LEVELS))
    made = [*_CHIMES, _wailing, _yelping]
    parts: list[tuple[float, Samples]] = []
    at = 0.3
    while at < SECONDS:
        length = float(chance.uniform(1.5, 4.5))
        signal = made[int(chance.integers(len(made)))]
        parts.append((at, signal(length, chance)))
        at += length + float(chance.uniform(0.2, 2.0))
    return Block(at_microphone(laid(SECONDS, parts), LEVELS[level], number, chance))


def around(number: int, chance: Chance) -> Block:
    """Slides, water, fire, engines, feet, blows and rushing air, one after the other."""
    first, level = turn(number, len(_SCENES), len(LEVELS))
    parts: list[tuple[float, Samples]] = []
    at = 0.2
    while at < SECONDS:
        length = float(chance.uniform(2.0, 5.0))
        scene = _SCENES[(first + len(parts)) % len(_SCENES)](length, chance)
        parts.append((at, scene / max(float(np.abs(scene).max()), 1e-9)))
        at += length + float(chance.uniform(0.0, 0.8))
    return Block(at_microphone(laid(SECONDS, parts), LEVELS[level], number, chance))


def _rising(chance: Chance) -> Samples:
    return signals.horn(SECONDS, chance)


def _broken(_chance: Chance) -> Samples:
    on = (times(SECONDS) % 1.6) < 1.0
    soft = np.convolve(on.astype(np.float64), np.ones(240) / 240, mode="same")
    return np.asarray(tone(410.0, SECONDS, (0.7, 0.6, 0.5, 0.4, 0.3)) * soft)


def _two_toned(_chance: Chance) -> Samples:
    high = (times(SECONDS) % 1.0) < 0.5
    return tone(np.where(high, 960.0, 770.0), SECONDS, (0.5, 0.4, 0.2))


def _wailing(seconds: float, _chance: Chance) -> Samples:
    sweep = 0.5 - 0.5 * np.cos(2 * np.pi * times(seconds) / 4.0)
    return edged(tone(600 + 800 * sweep, seconds, (0.3, 0.2)), 0.05, 0.1)


def _yelping(seconds: float, chance: Chance) -> Samples:
    sweep = (times(seconds) * 3.3) % 1.0
    rough = 0.05 * noise(seconds, 600, 3000, chance)
    return edged(tone(650 + 900 * sweep, seconds, (0.3, 0.2)) + rough, 0.02, 0.05)
