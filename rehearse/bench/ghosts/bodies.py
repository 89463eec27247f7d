"""What bodies do without words: crying, laughing, coughing, breathing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, at_microphone, turn
from rehearse.bench.ghosts.larynx import (
    CHILD,
    MAN,
    WOMAN,
    breathed,
    gliding,
    voiced,
)
from rehearse.cues.waves import RATE, Chance, Samples, edged, noise, struck, times

Part = Callable[[Chance], Samples]


def crying(number: int, chance: Chance) -> Block:
    """A baby that cries, a child that wails, a grown-up who sobs."""
    which, level = turn(number, 3, len(LEVELS))
    return _row((_baby, _wail, _sob)[which], (0.05, 0.6), LEVELS[level], number, chance)


def laughing(number: int, chance: Chance) -> Block:
    """People who laugh, cough, clear the throat and sneeze."""
    which, level = turn(number, 3, len(LEVELS))
    part = (_laugh, _cough, _either)[which]
    return _row(part, (0.2, 1.6), LEVELS[level], number, chance)


def breathing(number: int, chance: Chance) -> Block:
    """Breath right at the microphone: calm, hard, sighing, snoring."""
    which, level = turn(number, 4, len(LEVELS))
    part = (_calm_breath, _hard_breath, _sigh, _snore)[which]
    return _row(part, (0.1, 0.9), LEVELS[level], number, chance)


def _row(
    part: Part, pauses: tuple[float, float], level: float, number: int, chance: Chance
) -> Block:
    """Parts one after the other until the block is full."""
    made: list[Samples] = []
    missing = round(SECONDS * RATE)
    while missing > 0:
        made += [part(chance), np.zeros(round(float(chance.uniform(*pauses)) * RATE))]
        missing -= made[-2].size + made[-1].size
    whole = np.concatenate(made)[: round(SECONDS * RATE)]
    return Block(at_microphone(whole, level, number, chance))


def _joined(parts: Sequence[Samples]) -> Samples:
    return np.concatenate(parts)


def _baby(chance: Chance) -> Samples:
    """One cry of a baby, and the breath after it."""
    seconds = float(chance.uniform(0.6, 1.4))
    base = float(chance.uniform(380, 520))
    pitch = gliding(seconds, base, 1.3 * base, 1.25 * base, 0.9 * base)
    cry = voiced(
        pitch, ("e", "a", "a", "@"), chance, size=CHILD, breath=0.15, calm=_pressed(chance)
    )
    rough = 1 + 0.4 * noise(seconds, 20, 90, chance)[: cry.size] * (chance.random() < 0.4)
    air = 0.15 * breathed(0.35, chance, 1500, 6000)
    return _joined([edged(cry * rough, 0.08, 0.15), np.zeros(600), edged(air, 0.1, 0.1)])


def _pressed(chance: Chance) -> float:
    """How little the harmonics of a cry become weaker: from a whimper to a scream."""
    return float(chance.uniform(0.1, 1.0))


def _wail(chance: Chance) -> Samples:
    """A child that draws its complaint out."""
    seconds = float(chance.uniform(1.0, 2.5))
    base = float(chance.uniform(280, 400))
    trembling = 1 + 0.05 * np.sin(2 * np.pi * float(chance.uniform(4, 7)) * times(seconds))
    pitch = gliding(seconds, base, 1.6 * base, 1.2 * base, base) * trembling
    vowels = [str(chance.choice(["a", "e", "u", "o", "@"])) for _ in range(4)]
    return edged(
        voiced(pitch, vowels, chance, size=1.3, breath=0.1, calm=_pressed(chance)), 0.1, 0.3
    )


def _sob(chance: Chance) -> Samples:
    """A grown-up: a few short cries on one breath, then the breath drawn in."""
    size = MAN if chance.random() < 0.5 else WOMAN
    base = float(chance.uniform(150, 220)) * (1.0 if size == MAN else 1.7)
    parts: list[Samples] = []
    for at in range(int(chance.integers(2, 6))):
        seconds = float(chance.uniform(0.12, 0.35))
        pitch = gliding(seconds, base, 1.15 * base, 0.85 * base) * (1 - 0.05 * at)
        cry = voiced(pitch, ("@", "a", "@"), chance, size=size, breath=0.3)
        parts += [edged(cry, 0.03, 0.08), np.zeros(round(float(chance.uniform(0.05, 0.2)) * RATE))]
    sniff = 0.3 * breathed(0.5, chance, 1200, 6000)
    return _joined([*parts, edged(sniff, 0.3, 0.1)])


def _laugh(chance: Chance) -> Samples:
    """A laugh of a few syllables, falling."""
    size = float(chance.choice([MAN, WOMAN]))
    base = float(chance.uniform(150, 260)) * (1.0 if size == MAN else 1.6)
    vowel = str(chance.choice(["a", "@", "e", "o"]))
    parts: list[Samples] = []
    for at in range(int(chance.integers(3, 10))):
        seconds = float(chance.uniform(0.07, 0.14))
        pitch = gliding(seconds, base, 0.9 * base) * (1 - 0.03 * at)
        air = edged(0.4 * breathed(0.07, chance), 0.02, 0.01)
        parts += [
            air,
            edged(voiced(pitch, (vowel, vowel), chance, size=size, breath=0.15), 0.01, 0.04),
        ]
        parts.append(np.zeros(round(float(chance.uniform(0.02, 0.09)) * RATE)))
    return _joined(parts)


def _cough(chance: Chance) -> Samples:
    """One to three coughs, a throat cleared or a sneeze."""
    parts: list[Samples] = []
    for _ in range(int(chance.integers(1, 4))):
        burst = 2 * noise(0.3, 300, 3500, chance) * struck(0.3, 0.05)
        seconds = float(chance.uniform(0.1, 0.3))
        base = float(chance.uniform(110, 260))
        voice = voiced(gliding(seconds, base, 0.7 * base), ("@", "u"), chance, breath=0.8)
        parts += [burst[: RATE // 10], edged(0.7 * voice, 0.01, 0.1), np.zeros(RATE // 8)]
    if chance.random() < 0.3:
        parts.append(edged(noise(0.25, 2500, 7000, chance), 0.02, 0.1))
    return _joined(parts)


def _either(chance: Chance) -> Samples:
    return (_laugh if chance.random() < 0.5 else _cough)(chance)


def _calm_breath(chance: Chance) -> Samples:
    into = edged(0.6 * breathed(1.3, chance, 600, 4500), 0.6, 0.3)
    out = edged(breathed(1.7, chance, 250, 2500), 0.3, 1.1)
    return _joined([into, np.zeros(RATE // 5), out])


def _hard_breath(chance: Chance) -> Samples:
    """Somebody out of breath, who blows into the microphone."""
    into = edged(breathed(0.45, chance, 900, 5500), 0.2, 0.1)
    out = breathed(0.6, chance, 300, 3000) + 1.5 * noise(0.6, 20, 140, chance)
    return _joined([into, edged(out, 0.05, 0.4)])


def _sigh(chance: Chance) -> Samples:
    """A long breath with some voice at its beginning."""
    base = float(chance.uniform(100, 240))
    groan = edged(voiced(gliding(0.5, base, 0.7 * base), ("@", "o"), chance, breath=0.5), 0.1, 0.3)
    return _joined([0.5 * groan, edged(breathed(1.6, chance, 250, 2800), 0.2, 1.2)])


def _snore(chance: Chance) -> Samples:
    """A palate that flutters at twenty-odd hertz on the breath drawn in."""
    rate = float(chance.uniform(22, 38))
    flutter = np.maximum(0.0, np.sin(2 * np.pi * rate * times(1.4))) ** 3
    into = breathed(1.4, chance, 120, 1800) * flutter
    out = 0.3 * breathed(1.5, chance, 300, 3000)
    return _joined([edged(3 * into, 0.2, 0.3), np.zeros(RATE // 3), edged(out, 0.3, 0.8)])
