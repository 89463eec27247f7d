"""What hands do on a table near the microphone: keys, knocks, things put down, paper."""

from __future__ import annotations

import numpy as np

from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, at_microphone, turn
from rehearse.cues.waves import Chance, Samples, edged, laid, noise, struck, tone


def hands(number: int, chance: Chance) -> Block:
    """Typing, knocking, things put down, paper turned: each alone and all together."""
    which, level = turn(number, 4, len(LEVELS))
    made = (_typed, _knocked, _rustled, _all)[which](chance)
    return Block(at_microphone(made, LEVELS[level], number, chance))


def _typed(chance: Chance) -> Samples:
    """Words typed at five to nine keys a second, each key pressed and let go."""
    parts: list[tuple[float, Samples]] = []
    at = 0.2
    while at < SECONDS:
        for _ in range(int(chance.integers(2, 12))):
            parts += [(at, _click(chance, 1.0)), (at + float(chance.uniform(0.05, 0.09)),
                                                  _click(chance, 0.4))]  # fmt: skip
            at += float(chance.uniform(0.1, 0.2))
        parts.append((at, 1.5 * _click(chance, 1.0)))  # the wide key between words
        at += float(chance.choice([0.2, 0.3, 1.5]))
    return laid(SECONDS, parts)


def _knocked(chance: Chance) -> Samples:
    """Knocks in rows, a finger that drums, a drawer that shuts."""
    parts: list[tuple[float, Samples]] = []
    at = 0.3
    while at < SECONDS:
        gap = float(chance.choice([0.09, 0.22, 0.5]))
        for _ in range(int(chance.integers(1, 6))):
            parts.append((at, _knock(chance)))
            at += gap
        if chance.random() < 0.3:
            slid = edged(noise(0.6, 200, 2500, chance), 0.2, 0.1)
            parts += [(at, 0.3 * slid), (at + 0.6, 2 * _knock(chance))]
            at += 0.6
        at += float(chance.uniform(0.4, 2.0))
    return laid(SECONDS, parts)


def _rustled(chance: Chance) -> Samples:
    """Paper, bags, clothes at the microphone."""
    parts: list[tuple[float, Samples]] = []
    at = 0.1
    while at < SECONDS:
        length = float(chance.uniform(0.2, 1.0))
        rough = noise(length, 700, 9000, chance) * np.abs(noise(length, 2, 25, chance))
        parts.append((at, edged(rough, 0.05, 0.1)))
        at += length + float(chance.uniform(0.05, 1.0))
    return laid(SECONDS, parts)


def _all(chance: Chance) -> Samples:
    return np.asarray(0.5 * _typed(chance) + _knocked(chance) + 0.3 * _rustled(chance))


def _click(chance: Chance, loud: float) -> Samples:
    body = tone(float(chance.uniform(180, 420)), 0.05, (0.4, 0.3)) * struck(0.05, 0.008, 0.001)
    snap = noise(0.05, 1500, 9000, chance) * struck(0.05, 0.004, 0.0005)
    return np.asarray(loud * float(chance.uniform(0.6, 1.0)) * (0.6 * body + snap))


def _knock(chance: Chance) -> Samples:
    wood = tone(float(chance.uniform(90, 240)), 0.3, (0.5, 0.3, 0.1)) * struck(0.3, 0.03, 0.002)
    blow = noise(0.3, 100, 2500, chance) * struck(0.3, 0.012, 0.001)
    return np.asarray(float(chance.uniform(0.5, 1.0)) * (wood + blow))
