"""The cue sounds that a drill may name, what each of them is, and their samples.

All of them are ours: computed from formulas, none recorded or copied from any aircraft. Each is
the same whenever it is made.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from rehearse.cues import scenes, signals
from rehearse.cues.waves import RATE, Chance, Samples, peaked

LONGEST = 600.0  # seconds that a sound may be asked to hold: ten minutes


@dataclass(frozen=True)
class CueSound:
    """One sound. told: what it is, in a few words, for whoever reads instead of hearing.

    seconds: its own length. peak: its largest sample, 0..1. made: its samples for a length.
    """

    name: str
    told: str
    seconds: float
    peak: float
    made: Callable[[float, Chance], Samples]


SOUNDS: Mapping[str, CueSound] = MappingProxyType({
    sound.name: sound
    for sound in (
        CueSound("evacuation-signal", "a horn that rises and falls", 4.8, 0.6, signals.horn),
        CueSound("chime-high", "one high chime", 1.4, 0.5, signals.chime_high),
        CueSound("chime-low", "one low chime", 1.4, 0.5, signals.chime_low),
        CueSound("chime-high-low", "a high chime and a low one", 2.0, 0.5, signals.chime_high_low),
        CueSound("interphone-call", "one high chime at the handset", 1.4, 0.5, signals.chime_high),
        CueSound("interphone-emergency", "three low chimes at the handset", 2.3, 0.5,
                 signals.three_low),
        CueSound("smoke-alarm", "a fast high beep", 3.0, 0.35, signals.fast_beep),
        CueSound("countdown-beep", "one short beep", 0.15, 0.4, signals.short_beep),
        CueSound("slide-filling", "gas hisses and the slide fills", 6.0, 0.5,
                 scenes.slide_filling),
        CueSound("slide-hanging", "the slide falls out and flaps limp in the wind", 2.5, 0.5,
                 scenes.slide_hanging),
        CueSound("door-driven", "gas drives the door out", 1.6, 0.6, scenes.door_driven),
        CueSound("door-jammed", "the wheel knocks against its stop and does not turn", 2.2, 0.6,
                 scenes.door_jammed),
        CueSound("water", "water pours in over the sill", 3.0, 0.45, scenes.water),
        CueSound("fire", "a fire roars and crackles", 3.0, 0.5, scenes.fire),
        CueSound("engine-running", "an engine outside still turns", 3.0, 0.4, scenes.engine),
        CueSound("crowd-moving", "many people on the move", 4.0, 0.35, scenes.crowd),
        CueSound("crowd-gone", "the last people go and it becomes quiet", 4.0, 0.35,
                 scenes.crowd_gone),
        CueSound("decompression", "a bang and a rush of air", 3.5, 0.7, scenes.decompression),
        CueSound("impact", "heavy blows and metal that scrapes", 3.0, 0.8, scenes.impact),
        CueSound("knocking", "knocks on a door", 1.6, 0.5, scenes.knocking),
    )
})  # fmt: skip


def length(name: str, holds: float | None = None) -> float:
    """Seconds that the sound goes on. Raises KeyError when there is no sound of this name."""
    sound = SOUNDS[name]
    return sound.seconds if holds is None else min(holds, LONGEST)


def render(name: str, holds: float | None = None) -> tuple[npt.NDArray[np.float32], int]:
    """The samples, mono float32 in -1..1, shape (n,), and how many there are a second.

    holds: seconds that it goes on; None for its own length. A signal begins over again as often
        as it must.

    Raises:
        KeyError: there is no sound of this name.
        ValueError: holds is not a length of time.
    """
    seconds = length(name, holds)
    if not seconds > 0:
        raise ValueError(f"a sound cannot hold for {holds} seconds")
    return _made(name, seconds).copy(), RATE


@lru_cache(maxsize=32)
def _made(name: str, seconds: float) -> npt.NDArray[np.float32]:
    sound = SOUNDS[name]
    chance = np.random.default_rng(zlib.crc32(name.encode()))
    return peaked(sound.made(seconds, chance), sound.peak).astype(np.float32)
