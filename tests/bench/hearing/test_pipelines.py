"""The pipelines of the hearing benchmark: ours, and what one would otherwise take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from rehearse.bench.drill_voices import Shouter
from rehearse.bench.hearing.conditions import condition_sound
from rehearse.bench.hearing.openly import OpenReading
from rehearse.bench.hearing.ours import Ours
from rehearse.bench.hearing.pipelines import Pipeline
from rehearse.bench.hearing.whispers import FreeWhisper, PromptedWhisper, base
from rehearse.book.model import Procedure
from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Expectation, Sound, Transcript
from rehearse.judge.meaning import Readers
from rehearse.session.engine import Engine

CLIP = Path(__file__).parents[2] / "hear" / "sounds" / "turn-to-bypass.flac"


@dataclass
class Deaf:
    """A recogniser that reads one text in every sound, with one support a token."""

    reads: str
    score: float = 2.0
    name: str = "deaf"

    def free(self, _sound: Sound) -> tuple[Transcript, ...]:
        """The one text."""
        return (Transcript(self.reads, 0.0),) if self.reads else ()

    def support(self, _sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """The one text by far."""
        return tuple(0.0 if text == self.reads else -100.0 for text in texts)

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The words spread over the sound."""
        words = text.split()
        each = sound.size / RATE / len(words)
        return tuple(Word(w, at * each, (at + 1) * each, 0.95) for at, w in enumerate(words))

    def evidence(self, _sound: Sound, _text: str) -> float:
        """The one it was told."""
        return self.score

    def partial(self, _sound: Sound, _expectation: Expectation) -> str:
        """The one text."""
        return self.reads


@dataclass
class Counting:
    """A reader that takes everything for said, and counts what it is asked."""

    asked: list[tuple[str, str]] = field(default_factory=list)

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        self.asked += pairs
        return np.array([(0.97, 0.01, 0.01, 0.01)] * len(pairs), np.float32).reshape(-1, 4)


class Loud:
    """Voice activity by power alone."""

    def probability(self, window: Sound) -> float:
        """1 where there is sound."""
        return float(np.mean(np.square(window)) > 1e-6)

    def reset(self) -> None:
        """Nothing to forget."""


@pytest.fixture
def sound(hummer: Shouter) -> Sound:
    """Somebody says something."""
    return condition_sound(hummer.say("turn the drum"), "hummer", "turn the drum", "clean")


def ours(reads: str, score: float = 2.0, reader: Counting | None = None) -> Ours:
    """Our pipeline with a recogniser that reads one text."""
    readers = Readers(reader or Counting(), Counting())
    return Ours(Engine(Deaf(reads, score), readers), Loud())


def test_what_is_heard_of_the_step_is_judged(sound: Sound, book: Procedure) -> None:
    """Our own figures would be those of something else than hearing and judge together."""
    step = book.step("drum")
    right = ours("Turn the mode drum to armed").hear(sound, book, step)
    assert (right.verdict, right.heard) == ("said", "Turn the mode drum to armed")
    assert right.support == 2.0
    assert right.checks
    assert 0 < right.delay <= right.cost
    assert right.judging > 0
    wrong = ours("Turn the mode drum to disarmed").hear(sound, book, step)
    assert wrong.verdict == "wrong"
    assert ours("").hear(sound, book, step).verdict == "not_said"


def test_words_that_the_sound_does_not_bear_out_are_kept_as_refused(
    sound: Sound, book: Procedure
) -> None:
    """What was refused could not be fitted on, or would be credited."""
    found = ours("Turn the mode drum to armed", score=0.1).hear(sound, book, book.step("drum"))
    assert (found.heard, found.verdict) == ("", "not_said")
    assert (found.free, found.support) == ("Turn the mode drum to armed", 0.1)


def test_no_take_remembers_the_one_before(sound: Sound, book: Procedure) -> None:
    """A text said by every voice would be judged in no time, and an earlier take be credited."""
    reader = Counting()
    pipeline = ours("bring the mode drum over to armed", reader=reader)
    step = book.step("drum")
    pipeline.hear(sound, book, step)
    first = len(reader.asked)
    assert first
    pipeline.judge("bring the mode drum over to armed", book, step)
    assert len(reader.asked) > first
    assert pipeline.judge("open the flap", book, step).verdict != "said"


def test_a_free_reading_is_scored_by_its_words(sound: Sound, book: Procedure) -> None:
    """A further recogniser would be compared by something else than the others."""
    step = book.step("drum")
    pipeline: Pipeline = OpenReading("open", Deaf("rotate the drum to ARMED."))
    assert pipeline.hear(sound, book, step).score == 1.0  # as one of the other wordings
    assert pipeline.judge("something else", book, step).score < 0.5
    assert OpenReading("open", Deaf("")).hear(sound, book, step).score == 0.0


def test_whisper_reads_freely_and_with_a_prompt(book: Procedure) -> None:
    """The alternatives would hear nothing, or share more than the encoding of a sound."""
    samples, _ = soundfile.read(CLIP, dtype="float32")
    step = book.step("drum")
    free = FreeWhisper("whisper", base()).hear(samples, book, step)
    prompted = PromptedWhisper("prompted", base()).hear(samples, book, step)
    assert "bypass" in free.heard.lower()
    assert "bypass" in prompted.heard.lower()
    assert 0.5 < prompted.cost / free.cost < 2.0  # the encoding is counted for both
    assert free.verdict == ""
