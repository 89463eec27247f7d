from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field

import numpy as np
import pytest

from rehearse.errors import RehearseError, SoundError
from rehearse.events import (
    Ended,
    Event,
    Heard,
    Listening,
    Overflow,
    Partial,
    SpeechStarted,
    Word,
)
from rehearse.hear.level import active_level
from rehearse.hear.listener import LiveListener, listen
from rehearse.hear.recogniser import RATE, Expectation, Recogniser, Sound, Transcript
from rehearse.hear.source import Chunk
from rehearse.hear.whisper import Whisper
from rehearse.language import Language

Telling = Callable[..., Recogniser]
CHUNK = 512
WAIT = 30.0  # seconds a test waits before it fails


@dataclass
class Played:
    """A source that plays a sound faster than it was spoken; it may lose samples or break."""

    sound: Sound
    lost_at: float | None = None
    breaks: bool = False
    pace: float = 0.0
    closed: threading.Event = field(default_factory=threading.Event)
    name: str = "played"

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound in chunks of a microphone's size."""
        lost_at = self.lost_at
        try:
            for at in range(0, self.sound.size, CHUNK):
                lost = None
                if lost_at is not None and at / RATE >= lost_at:
                    lost, lost_at = 0.25, None
                yield Chunk(self.sound[at : at + CHUNK], at / RATE, lost)
                if self.pace:
                    time.sleep(CHUNK / RATE * self.pace)
            if self.breaks:
                raise SoundError("played: the microphone stopped; plug it in again")
        finally:
            self.closed.set()


@dataclass
class Told:
    """Collects what a live listener emits, until it ends or fails."""

    happened: list[Event | RehearseError] = field(default_factory=list)
    arrived: queue.Queue[Event | RehearseError] = field(default_factory=queue.Queue)

    def __call__(self, happening: Event | RehearseError) -> None:
        """Takes what happened."""
        self.happened.append(happening)
        self.arrived.put(happening)

    def until_the_end(self) -> list[Event | RehearseError]:
        """Everything, once the last has come."""
        while not isinstance(self.arrived.get(timeout=WAIT), Ended | RehearseError):
            pass
        return self.happened


@pytest.fixture
def two_sentences(clip: Callable[[str], Sound]) -> Sound:
    """Two steps with two seconds between them."""
    return np.concatenate([clip("door-two-left-armed"), clip("pull-the-red-toggle")])


def _spoken(events: Sequence[object]) -> list[Heard]:
    return [event for event in events if isinstance(event, Heard)]


def test_a_recording_gives_its_events_in_order(
    whisper: Whisper, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """Listening, then each utterance from its onset to its text, then the end."""
    events = list(listen(Played(two_sentences), whisper, expectation, language))
    assert [type(event) for event in events] == [
        Listening, SpeechStarted, Heard, SpeechStarted, Heard, Ended
    ]  # fmt: skip
    first, second = _spoken(events)
    assert "armed" in first.text
    assert "toggle" in second.text
    assert first.start < first.end < second.start < second.end < two_sentences.size / RATE
    ended = events[-1]
    assert isinstance(ended, Ended)
    assert ended.time == pytest.approx(two_sentences.size / RATE, abs=0.05)


def test_live_and_offline_hear_the_same(
    whisper: Whisper, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """The same sound gives the same utterances, to the last margin, live and afterwards."""
    told = Told()
    live = LiveListener(Played(two_sentences), whisper, expectation, language, emit=told)
    live.start()
    heard = _spoken(told.until_the_end())
    live.close()
    assert heard == _spoken(list(listen(Played(two_sentences), whisper, expectation, language)))


def test_an_utterance_in_progress_is_shown(
    telling: Telling, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """Provisional text comes while somebody speaks, and once more when they seem to have ended."""
    told = Told()
    recogniser = telling(["Door two left armed"], {"Door two left armed": 20.0})
    source = Played(two_sentences, pace=0.5)
    live = LiveListener(source, recogniser, expectation, language, emit=told)
    live.start()
    events = told.until_the_end()
    live.close()
    partials = [event for event in events if isinstance(event, Partial)]
    heards = _spoken(events)
    assert partials
    for partial in partials:
        assert any(h.start <= partial.time <= h.end + 0.4 for h in heards)


@dataclass
class Slow:
    """Reads the same as another, half a second later. placed: the sounds read to the end."""

    other: Recogniser
    placed: list[int] = field(default_factory=list)
    name: str = "slow"

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """As the other reads it."""
        time.sleep(0.5)
        return self.other.free(sound)

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """As the other supports them."""
        return self.other.support(sound, texts)

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """As the other places them."""
        self.placed.append(sound.size)
        return self.other.align(sound, text)

    def evidence(self, sound: Sound, text: str) -> float:
        """As the other bears them out."""
        return self.other.evidence(sound, text)

    def partial(self, sound: Sound, expectation: Expectation) -> str:
        """Nothing."""
        del sound, expectation
        return ""


def test_a_reading_is_given_up_when_the_speaker_goes_on(
    telling: Telling, expectation: Expectation, language: Language, clip: Callable[[str], Sound]
) -> None:
    """A breath in a sentence does not keep the recogniser from what comes after it."""
    said = clip("pull-the-red-toggle")
    loud = np.flatnonzero(np.abs(said) > 0.05)
    words = said[loud[0] : loud[-1]]
    breath, end = np.zeros(int(0.45 * RATE), np.float32), np.zeros(RATE, np.float32)
    recogniser = Slow(telling(["Pull the red toggle"], {"Pull the red toggle": 20.0}))
    told = Told()
    source = Played(np.concatenate([end, words, breath, words, end]), pace=1.0)
    live = LiveListener(source, recogniser, expectation, language, emit=told)
    live.start()
    (heard,) = _spoken(told.until_the_end())
    live.close()
    assert heard.end - heard.start > 2 * words.size / RATE
    assert min(recogniser.placed) > 2 * words.size, "only the whole utterance was read to the end"


def test_lost_samples_are_told(
    telling: Telling, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """An overflow of the device becomes an event with its time, offline and live."""
    recogniser = telling(["stop"], {"stop": 5.0})
    source = Played(two_sentences, lost_at=2.0)
    offline = list(listen(source, recogniser, expectation, language))
    told = Told()
    live = LiveListener(source, recogniser, expectation, language, emit=told)
    live.start()
    told.until_the_end()
    live.close()
    for events in (offline, told.happened):
        (overflow,) = [event for event in events if isinstance(event, Overflow)]
        assert overflow.time == pytest.approx(2.0, abs=CHUNK / RATE)
        assert overflow.seconds == 0.25


def test_all_that_was_said_is_heard_before_a_failure_is_told(
    telling: Telling, expectation: Expectation, language: Language, clip: Callable[[str], Sound]
) -> None:
    """A microphone that is unplugged in a sentence does not take that sentence along."""
    told = Told()
    cut = clip("pull-the-red-toggle")[: int(2.5 * RATE)]
    recogniser = telling(["Pull the red toggle"], {"Pull the red toggle": 20.0})
    live = LiveListener(Played(cut, breaks=True), recogniser, expectation, language, emit=told)
    live.start()
    events = told.until_the_end()
    live.close()
    assert len(_spoken(events)) == 1
    assert isinstance(events[-1], SoundError)


def test_a_recogniser_that_breaks_is_told_and_does_not_hang(
    telling: Telling, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """An unexpected fault in the recogniser's thread becomes an error, not a silent death."""
    told = Told()
    recogniser = telling([], broken=MemoryError("no room"))
    live = LiveListener(Played(two_sentences), recogniser, expectation, language, emit=told)
    live.start()
    assert "no room" in str(told.until_the_end()[-1])
    live.close()


def test_nothing_is_heard_while_muted(
    telling: Telling, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """What comes while the tool speaks is kept for the take but never becomes an utterance."""
    told = Told()
    kept: list[Sound] = []
    recogniser = telling(["stop"], {"stop": 5.0})
    source = Played(two_sentences)
    live = LiveListener(source, recogniser, expectation, language, emit=told, keep=kept.append)
    live.mute()
    live.start()
    events = told.until_the_end()
    live.close()
    assert [type(event) for event in events] == [Listening, Ended]
    assert np.array_equal(np.concatenate(kept), two_sentences)


def test_closing_releases_the_source(
    telling: Telling, expectation: Expectation, language: Language, two_sentences: Sound
) -> None:
    """After `close` the device is free and nothing more is told."""
    told = Told()
    recogniser = telling(["stop"], {"stop": 5.0})
    source = Played(two_sentences, pace=1.0)
    live = LiveListener(source, recogniser, expectation, language, emit=told)
    live.start()
    told.arrived.get(timeout=WAIT)
    live.close()
    assert source.closed.wait(WAIT)
    before = len(told.happened)
    time.sleep(0.1)
    assert len(told.happened) == before


def test_a_quieter_voice_is_read_alike_and_measured_quieter(
    whisper: Whisper, expectation: Expectation, language: Language, clip: Callable[[str], Sound]
) -> None:
    """Levels taken behind the gain would be the same for a whisper and a shout."""
    loud = clip("pull-the-red-toggle")
    quiet = loud * np.float32(10 ** (-24 / 20))
    one, other = (
        next(event for event in listen(Played(sound), whisper, expectation, language)
             if isinstance(event, Heard))
        for sound in (loud, quiet)
    )  # fmt: skip
    assert one.text == other.text
    assert one.level is not None
    assert other.level is not None
    assert one.level - other.level == pytest.approx(24.0, abs=0.3)
    whole = active_level(loud)
    assert whole is not None
    assert one.level == pytest.approx(whole, abs=0.5), "and it is the level of the clip itself"
