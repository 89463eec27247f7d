"""The conditions that every text is heard under, each a sound that voice, text and name decide."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from rehearse.bench.hearing import signals
from rehearse.bench.shouting import CALM, Clip, Floats, cabin_noise
from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE, Sound

LEVEL = -28.0  # dB over full scale of a calm voice at a microphone
BEFORE, AFTER = 0.5, 0.8  # seconds around the speech
_HISS = -78.0  # dB over full scale: no microphone is silent
_SHOUT = 20.0  # dB over the calm voice
_WHISPER = -14.0
_PITCH, _DRAWN = 1.2, 1.1  # of a shout: its pitch and length over those of the calm voice
_STRAIN = 6.0  # dB by which a shout is brighter
_FAST = 1.4  # words a second over those of the calm voice
_HEADSET = (300.0, 3400.0)  # hertz
_PRESSED = 2.5  # decibels that a headset makes one of, above the voice's own level

Made = Callable[[Floats, int], Floats]  # a voice of level `LEVEL` and a seed, to its sound


def _noisy(ratio: float) -> Made:
    """Cabin noise so many decibels below the voice."""

    def made(voice: Floats, seed: int) -> Floats:
        sound = _around(voice)
        return sound + cabin_noise(len(sound), seed) * _size(LEVEL - ratio)

    return made


def _clean(voice: Floats, _seed: int) -> Floats:
    return _around(voice)


def _echo(voice: Floats, _seed: int) -> Floats:
    sound = signals.in_room(_around(voice))
    return _as_much(voice, sound)


def _headset(voice: Floats, _seed: int) -> Floats:
    narrow = signals.band(_around(voice), *_HEADSET)
    return _as_much(voice, signals.compressed(narrow, _PRESSED, 10 ** (LEVEL / 10)))


def _shouted(voice: Floats, _seed: int) -> Floats:
    drawn = signals.stretched(voice, _DRAWN)
    strained = signals.bright(signals.higher(drawn, _PITCH), _STRAIN)
    return _around(_as_much(voice, strained) * _size(_SHOUT))


def _whispered(voice: Floats, seed: int) -> Floats:
    return _around(signals.whispered(voice, seed) * _size(_WHISPER))


def _fast(voice: Floats, _seed: int) -> Floats:
    return _around(signals.stretched(voice, 1 / _FAST))


CONDITIONS: Mapping[str, Made] = {
    "clean": _clean,
    "noise 15 dB": _noisy(15.0),
    "noise 10 dB": _noisy(10.0),
    "noise 5 dB": _noisy(5.0),
    "echo": _echo,
    "headset": _headset,
    "shouted": _shouted,
    "whispered": _whispered,
    "fast": _fast,
}


def named(names: Sequence[str]) -> tuple[str, ...]:
    """The conditions of these names, in the order of `CONDITIONS`; all when none is named.

    Raises:
        SoundError: a name is not known.
    """
    for name in names:
        if name not in CONDITIONS:
            raise SoundError(f"condition '{name}' is not known; known are {', '.join(CONDITIONS)}")
    return tuple(name for name in CONDITIONS if name in names or not names)


def condition_sound(clip: Clip, voice: str, text: str, condition: str) -> Sound:
    """The clip as it is heard under one of `CONDITIONS`; what leaves full scale is cut off."""
    seed = seed_of(voice, text, condition)
    calm = clip.sound[clip.begin : clip.end].astype(np.float64) * _size(LEVEL - CALM)
    sound = CONDITIONS[condition](calm, seed)
    hiss = np.random.default_rng(seed + 1).standard_normal(len(sound)) * _size(_HISS)
    cut: Sound = np.clip(sound + hiss, -1.0, 1.0).astype(np.float32)
    return cut


def seed_of(voice: str, text: str, condition: str) -> int:
    """The seed of everything random in one sound."""
    key = f"{voice}|{text}|{condition}".encode()
    return int.from_bytes(hashlib.blake2b(key, digest_size=6).digest())


def _around(voice: Floats) -> Floats:
    return np.pad(voice, (round(BEFORE * RATE), round(AFTER * RATE)))


def _size(decibels: float) -> float:
    return float(10 ** (decibels / 20))


def _as_much(voice: Floats, other: Floats) -> Floats:
    """The other sound, with the energy of the voice."""
    louder: Floats = other * np.sqrt(np.sum(np.square(voice)) / np.sum(np.square(other)))
    return louder
