"""Music: chords, a melody and drums; and somebody who sings vowels to it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rehearse.bench.ghosts.block import LEVELS, SECONDS, Block, at_microphone, turn
from rehearse.bench.ghosts.larynx import MAN, WOMAN, voiced
from rehearse.cues.waves import (
    Chance,
    Samples,
    edged,
    laid,
    noise,
    struck,
    times,
    tone,
)

_SCALE = (0, 2, 4, 5, 7, 9, 11)  # half tones of a major scale
_CHORDS = ((0, 4, 5, 3), (0, 3, 4, 4), (0, 5, 3, 4))  # degrees, one a bar
_OVERTONES = ((0.5, 0.3, 0.2, 0.1), (0.1, 0.4, 0.05, 0.2), (0.8, 0.7, 0.5, 0.4, 0.3))
_RHYTHMS = ((1, 1, 1, 1), (1.5, 0.5, 1, 1), (0.5, 0.5, 1, 2), (2, 2))  # beats of each note
_BEATS = 4  # in a bar


def music(number: int, chance: Chance) -> Block:
    """Chords and a melody of three timbres, with drums and without."""
    timbre, level, chords = turn(number, len(_OVERTONES), len(LEVELS), len(_CHORDS))
    tune = _Tune(chance, chords)
    made = tune.chords(_OVERTONES[timbre]) + 1.2 * tune.melody(_OVERTONES[-1 - timbre])
    if number % 2:
        made = made + tune.drums()
    return Block(at_microphone(made, LEVELS[level], number, chance))


def singing(number: int, chance: Chance) -> Block:
    """A man's or a woman's voice that sings vowels, alone or to chords."""
    alone, level, chords = turn(number, 2, len(LEVELS), len(_CHORDS))
    tune = _Tune(chance, chords)
    made = tune.voice(WOMAN if number % 3 else MAN)
    if not alone:
        made = made + 0.4 * tune.chords(_OVERTONES[number % 3])
    return Block(at_microphone(made, LEVELS[level], number, chance))


class _Tune:
    """A piece in one key and pace, made up bar by bar."""

    def __init__(self, chance: Chance, chords: int) -> None:
        self._chance = chance
        self._beat = 60 / float(chance.uniform(72, 132))  # seconds
        self._key = float(chance.uniform(110, 196))  # hertz
        self._bars = int(SECONDS / (self._beat * _BEATS)) + 1
        self._chords = _CHORDS[chords]
        self._notes = list(self._made_up())

    def chords(self, overtones: tuple[float, ...]) -> Samples:
        """Three tones a bar."""
        bar = self._beat * _BEATS
        parts = [
            (at * bar, edged(tone(self._hertz(degree + third), bar, overtones), 0.02, 0.2))
            for at in range(self._bars)
            for degree in [self._chords[at % len(self._chords)]]
            for third in (0, 2, 4)
        ]
        return 0.5 * laid(SECONDS, parts)

    def melody(self, overtones: tuple[float, ...]) -> Samples:
        """Plucked notes, an octave up."""
        return laid(
            SECONDS,
            (
                (start, tone(2 * self._hertz(degree), long, overtones) * struck(long, 0.5))
                for start, long, degree in self._notes
            ),
        )

    def drums(self) -> Samples:
        """A low drum, a snare and a cymbal."""
        parts: list[tuple[float, Samples]] = []
        for at in range(self._bars * _BEATS):
            start = at * self._beat
            low = tone(55.0 + 60 * np.exp(-times(0.3) / 0.03), 0.3) * struck(0.3, 0.08)
            snare = noise(0.2, 800, 6000, self._chance) * struck(0.2, 0.05)
            parts.append((start, 2.5 * low if at % 2 == 0 else 1.2 * snare))
            for half in (0, 0.5):
                hat = noise(0.08, 5000, 11000, self._chance) * struck(0.08, 0.02)
                parts.append((start + half * self._beat, 0.4 * hat))
        return laid(SECONDS, parts)

    def voice(self, size: float) -> Samples:
        """The melody sung, a vowel or two a note, with a trembling pitch."""
        octave = 1 if size == MAN else 2
        return laid(SECONDS, ((n[0], self._sung(octave * self._hertz(n[2]), n[1], size))
                              for n in self._notes))  # fmt: skip

    def _sung(self, hertz: float, long: float, size: float) -> Samples:
        at = times(long)
        slid = 2 ** (-np.exp(-at / 0.05) * float(self._chance.uniform(0, 3)) / 12)
        trembling = 1 + 0.012 * np.minimum(at / 0.3, 1) * np.sin(2 * np.pi * 5.5 * at)
        vowels = [str(self._chance.choice(list("aeiou@"))) for _ in range(2)]
        note = voiced(
            hertz * slid * trembling, vowels, self._chance, size=size, breath=0.05, calm=0.8
        )
        return edged(note, 0.03 + 0.05 * float(self._chance.random()), 0.08)

    def _hertz(self, degree: int) -> float:
        octaves, step = divmod(degree, len(_SCALE))
        return float(self._key * 2 ** (octaves + _SCALE[step] / 12))

    def _made_up(self) -> Iterator[tuple[float, float, int]]:
        degree = 4
        for at in range(self._bars):
            start = at * self._beat * _BEATS
            for beats in _RHYTHMS[int(self._chance.integers(len(_RHYTHMS)))]:
                degree = int(np.clip(degree + self._chance.integers(-2, 3), 0, 9))
                rest = 0.9 if self._chance.random() < 0.8 else 0.5
                yield start, rest * beats * self._beat, degree
                start += beats * self._beat
