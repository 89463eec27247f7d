"""A recogniser that reads what it is told, and sounds in which somebody speaks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.bench.drill_voices import Recorded
from rehearse.bench.ghosts.clips import OWN, Cast
from rehearse.bench.ghosts.ground import Ground, ground
from rehearse.bench.ghosts.outcome import Outcome
from rehearse.book.model import Procedure
from rehearse.book.shelf import find
from rehearse.drill.files.shelf import find_drill
from rehearse.drill.model import Drill
from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Expectation, Sound, Transcript
from rehearse.hear.scoring import printed_words
from rehearse.judge.meaning import Readers
from rehearse.session.engine import Engine

VOICE = Path(__file__).parents[2] / "hear" / "sounds" / "door-two-left-armed.flac"


@dataclass
class Reads:
    """Reads the same text out of any sound. score: how well the sound bears it out."""

    text: str
    score: float = 2.0
    name: str = "reads"
    asked: list[int] = field(default_factory=list)

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """The text."""
        self.asked.append(sound.size)
        return (Transcript(self.text, 0.0),)

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """Nothing fits but the text."""
        del sound
        return tuple(0.0 if text == self.text else -100.0 for text in texts)

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The words spread evenly over the sound."""
        words = printed_words(text)
        each = sound.size / RATE / max(1, len(words))
        return tuple(Word(word, at * each, (at + 1) * each) for at, word in enumerate(words))

    def evidence(self, sound: Sound, text: str) -> float:
        """The one it was told."""
        del sound, text
        return self.score

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """The text."""
        del sound, expectation
        return self.text


@pytest.fixture
def hearing(readers: Readers) -> Callable[..., Engine]:
    """An engine that reads a text out of whatever it hears."""
    return lambda text, score=2.0: Engine(Reads(text, score), readers)


@pytest.fixture(scope="session")
def whole_book() -> Ground:
    """The book's procedures and drills, read once."""
    return ground(())


@pytest.fixture(scope="session")
def procedure() -> Procedure:
    """A procedure of the book."""
    return find("arm-door-2l")


@pytest.fixture(scope="session")
def drill() -> Drill:
    """A drill of the book."""
    return find_drill("signalled-evacuation")


@pytest.fixture(scope="session")
def voice() -> Sound:
    """Somebody who speaks for two seconds, with a second of silence on both sides."""
    samples, _rate = soundfile.read(VOICE, dtype="float32")
    silence = np.zeros(RATE, np.float32)
    return np.concatenate([silence, samples, silence]).astype(np.float32)


@pytest.fixture(scope="session")
def everybody() -> Callable[[Sequence[str]], Cast]:
    """Two people and the tool, who say each of these texts with one and the same clip."""

    def made(texts: Sequence[str]) -> Cast:
        voices = [Recorded(name, dict.fromkeys(texts, VOICE)) for name in ("ann", "ben", OWN)]
        return Cast(tuple(voices[:2]), voices[2])

    return made


@pytest.fixture
def quiet() -> Outcome:
    """Half a minute of horn of which nothing was heard."""
    return Outcome("horn", 0, 30.0, "tarn-240 arm-door-2l", "tarn-240 ditching", True, 0, 0)
