"""Real engine, real voices and a recogniser that answers as told, for the tests of hearing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.events import Word
from rehearse.hear.endpoint import Endpointer, Segment
from rehearse.hear.recogniser import RATE, Expectation, Sound, Transcript
from rehearse.hear.scoring import plain, printed_words
from rehearse.hear.voice import SileroVoice
from rehearse.hear.whisper import Whisper
from rehearse.language import Language, load
from rehearse.weights.store import verified

SOUNDS = Path(__file__).parent / "sounds"

WORDINGS = (
    "Door two left armed and cross-checked",
    "Pull the red toggle on the inner left of the sill",
    "Inflate your life vest after you leave the aircraft",
    "Unfasten the strap at the top of the slide",
    "Turn the grey cam to bypass",
    "Turn the mode drum a quarter turn towards the hinge to armed",
    "Check both witness panes show the amber band and the sill lamp is lit",
    "say again",
    "stop",
)


@dataclass
class TellingRecogniser:
    """A recogniser that reads and supports what it is told; supports default to -100 nats.

    readings: what `free` gives, best first.
    supports: nats by text, compared as `plain` compares.
    score: support per token of whatever is aligned.
    confidence: of every word.
    broken: raised instead of any reading.
    """

    readings: Sequence[str]
    supports: Mapping[str, float] = field(default_factory=dict)
    score: float = 2.0
    confidence: float = 0.5
    broken: Exception | None = None
    name: str = "telling"
    asked: list[str] = field(default_factory=list)

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """The readings it was told."""
        del sound
        if self.broken is not None:
            raise self.broken
        return tuple(Transcript(text, 0.0) for text in self.readings)

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """The supports it was told."""
        del sound
        told = {plain(text).lower(): nats for text, nats in self.supports.items()}
        self.asked.extend(texts)
        return tuple(told.get(plain(text).lower(), -100.0) for text in texts)

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The words spread evenly over the sound."""
        words = printed_words(text)
        each = sound.size / RATE / max(1, len(words))
        return tuple(
            Word(word, at * each, (at + 1) * each, self.confidence) for at, word in enumerate(words)
        )

    def evidence(self, sound: Sound, text: str) -> float:
        """The one it was told."""
        del sound, text
        return self.score

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """The best reading."""
        del sound, expectation
        return self.readings[0] if self.readings else ""


@pytest.fixture(scope="session")
def telling() -> type[TellingRecogniser]:
    """Makes a recogniser out of what it shall tell."""
    return TellingRecogniser


@pytest.fixture(scope="session")
def language() -> Language:
    """English."""
    return load("en")


@pytest.fixture(scope="session")
def expectation(language: Language) -> Expectation:
    """Some steps of the Tarn 240 with all their contrasts."""
    contrasts = (contrast for text in WORDINGS for contrast in language.contrasts(text))
    return Expectation("en", WORDINGS, tuple(dict.fromkeys(contrasts)))


@pytest.fixture(scope="session")
def whisper() -> Whisper:
    """The real engine, loaded once."""
    return Whisper(verified("whisper-base-int8"))


@pytest.fixture(scope="session")
def clip() -> Callable[[str], Sound]:
    """Reads a clip of `sounds/` by its name, with a second of silence on both sides."""

    def read(name: str) -> Sound:
        samples, rate = soundfile.read(SOUNDS / f"{name}.flac", dtype="float32")
        assert rate == RATE
        silence = np.zeros(RATE, np.float32)
        return np.concatenate([silence, samples, silence]).astype(np.float32)

    return read


@pytest.fixture(scope="session")
def segments() -> Callable[[Sound], list[Segment]]:
    """The utterances that the real end-pointer finds in a sound."""

    def find(sound: Sound) -> list[Segment]:
        endpointer = Endpointer(SileroVoice())
        found = [*endpointer.feed(sound), *endpointer.finish()]
        return [item for item in found if isinstance(item, Segment)]

    return find
