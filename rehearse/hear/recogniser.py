"""What a recogniser must offer, whatever engine is behind it.

A recogniser is one class in one file. It gets mono float32 samples at 16 kHz (`RATE`) in -1..1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

import numpy as np
import numpy.typing as npt

from rehearse.events import Word
from rehearse.hear.thresholds import Thresholds

RATE = 16000  # samples a second, everywhere behind the source

Sound = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Expectation:
    """What the procedure leads the recogniser to expect.

    wordings: everything that may rightly be said: steps, other wordings, spoken requests.
    contrasts: what those could dangerously be confused with: opposites, other sides, other
        numbers, negations, each `never`. Whatever leans towards the procedure leans towards
        both sides alike.
    commands: those of the wordings that are shouted word by word, perhaps again and again.
    """

    language: str
    wordings: tuple[str, ...]
    contrasts: tuple[str, ...]
    commands: tuple[str, ...] = ()


@dataclass(frozen=True)
class Transcript:
    """One reading of a stretch of sound."""

    text: str
    score: float


class Recogniser(Protocol):
    """Turns the sound of one utterance into texts and says how well the sound fits given texts."""

    name: str

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """Readings without any bias, best first; empty when nothing was understood."""
        ...

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """For each text log P(text | sound) - lambda log P(text | silence), in nats, summed.

        Case, punctuation and hyphens take no part: no comma decides between two texts.
        """
        ...

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The given text's printed words, with confidence and times from the sound's start."""
        ...

    def evidence(self, sound: Sound, text: str) -> float:
        """How well the sound bears a text out: its mean support, nats a token."""
        ...

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """A quick provisional reading of an utterance still in progress."""
        ...


@runtime_checkable
class ClosedList(Protocol):
    """An engine that hears only what it was told beforehand: it is told anew for every take.

    thresholds: the numbers by which what it hears is confirmed.
    """

    thresholds: Thresholds

    def expecting(self, expectation: Expectation) -> Recogniser:
        """A recogniser for one take; the model itself is shared."""
        ...
