"""Commands shouted again that the recogniser printed only once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from rehearse.events import Ghost, Heard, SlotCheck, Word
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import RATE, Expectation, Recogniser, Sound, Transcript
from rehearse.hear.unread import joined, unread
from rehearse.language import Language

TIME = 20.0  # seconds, where the segment lies in its source


def segment(*parts: tuple[float, float]) -> Segment:
    """Tones between these times of a sound, seconds, over faint noise."""
    end = parts[-1][1]
    sound = np.random.default_rng(1).normal(0, 1e-4, int((end + 0.2) * RATE)).astype(np.float32)
    for begin, until in parts:
        time = np.arange(int((until - begin) * RATE)) / RATE
        sound[int(begin * RATE) :][: time.size] += 0.1 * np.sin(2 * np.pi * 300 * time)
    return Segment(sound, TIME, TIME + parts[0][0], TIME + end, 1e-8)


def heard(found: Segment, until: float) -> Heard:
    """The segment with its last word read as ending then."""
    words = (
        Word("Turn", found.start, TIME + until - 0.3),
        Word("back", TIME + until - 0.3, TIME + until),
    )
    return Heard(found.start, found.end, "Turn back", words)


def test_a_second_saying_behind_a_pause_is_still_to_be_read() -> None:
    """Somebody who shouts twice would be counted once, at half the rate."""
    found = segment((0.2, 1.2), (1.5, 2.5))
    rest = unread(found, heard(found, 1.1))
    assert rest is not None
    assert rest.start == pytest.approx(TIME + 1.5, abs=0.02)
    assert rest.end == found.end
    assert rest.time + rest.sound.size / RATE == pytest.approx(TIME + found.sound.size / RATE)


@pytest.mark.parametrize(
    ("parts", "until"),
    [
        (((0.2, 1.2),), 1.2),  # nothing follows
        (((0.2, 2.2),), 1.2),  # the last word is drawn out
        (((0.2, 1.2), (1.5, 1.8)), 1.2),  # too short for a saying
        (((0.2, 1.2), (1.5, 2.5)), 2.5),  # it was read
    ],
)
def test_nothing_is_made_up_behind_an_utterance(
    parts: tuple[tuple[float, float], ...], until: float
) -> None:
    """The end of a word, or a breath, would be read as words that nobody said."""
    found = segment(*parts)
    assert unread(found, heard(found, until)) is None


def test_without_times_of_words_nothing_is_known_to_be_unread() -> None:
    """An utterance would be read again from its beginning."""
    found = segment((0.2, 1.2), (1.5, 2.5))
    assert unread(found, Heard(found.start, found.end, "Turn back")) is None


class StopsEarly:
    """A recogniser that reads two words in whatever it is given, within its first second."""

    name = "stops early"

    def free(self, _sound: Sound) -> tuple[Transcript, ...]:
        """The same two words."""
        return (Transcript("Turn back", 0.0),)

    def support(self, _sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """Only those fit."""
        return tuple(20.0 if text.lower() == "turn back" else -100.0 for text in texts)

    def align(self, _sound: Sound, text: str) -> tuple[Word, ...]:
        """At the sound's begin."""
        words = text.split()
        return tuple(Word(word, 0.2 + 0.4 * at, 0.6 + 0.4 * at) for at, word in enumerate(words))

    def evidence(self, _sound: Sound, _text: str) -> float:
        """Enough."""
        return 3.0

    def partial(self, _sound: Sound, _expectation: Expectation) -> str:
        """Nothing."""
        return ""


def test_each_of_three_sayings_in_one_breath_is_heard(
    expectation: Expectation, language: Language
) -> None:
    """Of a command shouted three times without a long pause only one would be known."""
    found = segment((0.2, 1.2), (1.5, 2.5), (2.8, 3.8))
    recogniser: Recogniser = StopsEarly()
    read = Confirmer(recogniser, expectation, language).confirm(found)
    assert isinstance(read, Heard)
    assert read.text == "Turn back Turn back Turn back"
    assert (read.start, read.end) == (found.start, found.end)
    starts = [word.start - TIME for word in read.words[::2]]
    assert starts == pytest.approx([0.2, 1.5, 2.8], abs=0.12)


def test_what_is_sure_of_each_part_is_kept_with_its_words() -> None:
    """A doubt about a word of the second saying would be laid on a word of the first."""
    words = (Word("armed", 0.0, 0.5),)
    one = Heard(
        0.0, 0.5, "armed", words, "armed", (), (SlotCheck(0, 1, "armed", "disarmed", 9.0),), 2.0
    )
    other = replace(one, start=1.0, end=1.5, checks=(SlotCheck(0, 1, "armed", "disarmed", 1.0),))
    both = joined(one, other)
    assert both.checks is not None
    assert [(check.first, check.margin) for check in both.checks] == [(0, 9.0), (1, 1.0)]
    assert (both.text, both.end, both.support) == ("armed armed", 1.5, 2.0)


def test_a_ghost_is_read_once(
    expectation: Expectation, language: Language, telling: Callable[..., Recogniser]
) -> None:
    """Noise would be read over and over."""
    found = segment((0.2, 1.2), (1.5, 2.5))
    read = Confirmer(telling([], {}, 0.0), expectation, language).confirm(found)
    assert isinstance(read, Ghost)
