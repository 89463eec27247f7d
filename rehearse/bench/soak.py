"""Hours of hearing without a break: does its memory stay where it was?

Take follows take, as in a long session of review: the procedures of the book in turn, each heard
in one of the shipped recordings. Every take's sound is a little louder or quieter than before and
has a hiss of its own, so that nothing is found in a memory of sounds.
"""

from __future__ import annotations

import os
import queue
from collections.abc import Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import count, cycle
from pathlib import Path

import numpy as np

from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.errors import RehearseError
from rehearse.events import Ended, Event
from rehearse.hear.listener import LiveListener
from rehearse.hear.recogniser import RATE, Recogniser, Sound
from rehearse.hear.source import Chunk
from rehearse.session.bench import example_sounds
from rehearse.session.engine import expectation_of, language_of, load_recogniser

EVERY = 600.0  # seconds of sound between two figures
_HISS = 10 ** (-60 / 20)
_LOUDER = 6.0  # decibels up or down
_CHUNK = RATE // 2


@dataclass(frozen=True)
class _Varied:
    """A sound that is heard once: another take of it is louder or quieter, with another hiss."""

    sound: Sound
    take: int
    name: str = "a recording"

    def chunks(self) -> Generator[Chunk, None, None]:
        """All of it, as fast as it is taken."""
        chance = np.random.default_rng(self.take)
        gain = 10 ** (chance.uniform(-_LOUDER, _LOUDER) / 20)
        hiss = _HISS * chance.standard_normal(self.sound.size)
        sound = np.clip(gain * self.sound + hiss, -1.0, 1.0).astype(np.float32)
        for at in range(0, sound.size, _CHUNK):
            yield Chunk(sound[at : at + _CHUNK], at / RATE)


def lines(hours: float) -> Iterator[str]:
    """The memory of a process that hears so many hours of sound, every ten minutes of them.

    Raises:
        RehearseError: a model or an example recording cannot be used.
    """
    procedures = cycle([p for p in shelf.all_procedures() if p.language == "en"])
    sounds = cycle(example_sounds())
    recogniser = load_recogniser("en")
    heard, due = 0.0, EVERY
    sizes = []
    for take, procedure, sound in zip(count(1), procedures, sounds, strict=False):
        heard += _hear(_Varied(sound, take), recogniser, procedure)
        if heard >= min(due, 3600 * hours):
            sizes.append(_megabytes())
            yield f"{heard / 60:.0f} minutes of sound, {take} takes: {sizes[-1]:.0f} MB"
            due += EVERY
        if heard >= 3600 * hours:
            break
    yield (
        f"from the first figure to the last {sizes[-1] - sizes[0]:+.0f} MB, at most "
        f"{max(sizes):.0f} MB; hearing alone, no verdicts"
    )


def _hear(source: _Varied, recogniser: Recogniser, procedure: Procedure) -> float:
    """One take; how many seconds it was."""
    happenings: queue.Queue[Event | RehearseError] = queue.Queue()
    listener = LiveListener(
        source,
        recogniser,
        expectation_of(procedure),
        language_of(procedure),
        emit=happenings.put,
    )
    with closing(listener):
        listener.start()
        while not isinstance(event := happenings.get(), Ended):
            if isinstance(event, RehearseError):
                raise event
        return event.time


def _megabytes() -> float:
    """What the process has in memory now."""
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20
