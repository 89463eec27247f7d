from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.events import (
    Event,
    Heard,
    Overflow,
    PromptEnded,
    PromptStarted,
    Requested,
    Restarted,
    SpeechStarted,
    Word,
)
from rehearse.record.timing import prompts, requests, timing, utterances


def test_plain_take() -> None:
    """First word, last word, duration, pace and silence come from the utterances."""
    measured = timing([Heard(2.0, 4.0, "pull the pin out"), Heard(7.0, 9.0, "turn it to armed")])
    assert (measured.first_word, measured.last_word, measured.duration) == (2.0, 9.0, 7.0)
    assert (measured.words, measured.words_per_minute) == (8, 120.0)
    assert measured.longest_silence == 3.0
    assert [(gap.start, gap.end) for gap in measured.gaps] == [(4.0, 7.0)]
    assert not measured.void


def test_nothing_said() -> None:
    """Where nothing was said there are no times, and that is not the same as zero."""
    measured = timing([])
    assert (measured.first_word, measured.duration, measured.words_per_minute) == (None, None, None)
    assert (measured.words, measured.gaps, measured.longest_silence) == (0, (), None)


def test_the_tool_speaking_is_no_silence() -> None:
    """While the tool speaks, the trainee listens: that time is not counted as silence."""
    measured = timing(
        [
            Heard(0.0, 1.0, "a"),
            PromptStarted(3.0, "Armed.", "correction"),
            PromptEnded(8.0),
            Heard(9.0, 10.0, "b"),
        ]
    )
    assert measured.gaps[0].silence == 2.0
    assert measured.gaps[0].silent_from == 1.0


def test_a_request_is_neither_silence_nor_an_utterance() -> None:
    """Asking for a hint breaks the silence, but its words do not count as said."""
    measured = timing(
        [
            Heard(0.0, 1.0, "a"),
            SpeechStarted(4.0),
            Requested(5.0, "hint", "give me a hint"),
            Heard(9.0, 10.0, "b"),
        ]
    )
    assert measured.words == 2
    assert measured.longest_silence == 4.0
    assert measured.gaps[0].silent_from == 5.0


def test_a_request_that_was_logged_as_heard_too() -> None:
    """A request is left out also when its utterance stands in the log beside it."""
    events: list[Event] = [
        Heard(0.0, 1.0, "a"),
        Heard(2.0, 3.0, "say again"),
        Requested(3.0, "again", "say again"),
    ]
    assert [heard.text for heard in utterances(events)] == ["a"]


def test_start_of_a_request() -> None:
    """A request begins where speech began, and an utterance in between uses that onset up."""
    events: list[Event] = [
        SpeechStarted(1.0),
        Requested(2.0, "hint", "a hint"),
        SpeechStarted(3.0),
        Heard(3.0, 4.0, "x"),
        Requested(6.0, "skip", "skip"),
    ]
    assert [(asked.start, asked.end) for asked in requests(events)] == [(1.0, 2.0), (6.0, 6.0)]


def test_restart_begins_anew() -> None:
    """After starting over, only what follows is timed, and losses before it void nothing."""
    measured = timing(
        [
            Heard(1.0, 2.0, "wrong"),
            Overflow(1.5, 0.1),
            Restarted(5.0),
            Heard(8.0, 9.0, "right"),
        ]
    )
    assert (measured.first_word, measured.words, measured.void) == (8.0, 1, False)


def test_lost_samples_void_what_spans_them() -> None:
    """A time across lost samples is unknown; a silence elsewhere is still known."""
    measured = timing(
        [
            Heard(0.0, 1.0, "a"),
            Heard(3.0, 4.0, "b"),
            Overflow(5.0, 0.2),
            Heard(6.0, 7.0, "c"),
            Overflow(30.0, 0.2),
        ]
    )
    assert measured.void
    assert [lost.time for lost in measured.lost] == [5.0]
    assert (measured.first_word, measured.last_word, measured.duration) == (0.0, None, None)
    assert (measured.words_per_minute, measured.longest_silence) == (None, None)
    assert [gap.silence for gap in measured.gaps] == [2.0, None]


def test_words_of_the_recogniser_count() -> None:
    """In a script without spaces the recogniser's own words are counted."""
    words = tuple(Word(text, n * 0.5, n * 0.5 + 0.4) for n, text in enumerate("二号左门"))
    assert timing([Heard(0.0, 2.0, "二号左门", words)]).words == 4


def test_prompts_pair_up() -> None:
    """Each prompt ends where it was said to end, where the next began, or where it was left."""
    events: list[Event] = [
        PromptStarted(1.0, "one", "hint"),
        PromptEnded(2.0),
        PromptStarted(3.0, "two", "hint"),
        PromptStarted(4.0, "three", "hint"),
        PromptEnded(5.0, finished=False),
        PromptEnded(6.0),
        PromptStarted(7.0, "four", "hint"),
    ]
    assert [(p.text, p.start, p.end, p.finished) for p in prompts(events)] == [
        ("one", 1.0, 2.0, True),
        ("two", 3.0, 4.0, False),
        ("three", 4.0, 5.0, False),
        ("four", 7.0, 7.0, False),
    ]


moments = st.floats(0, 500, allow_nan=False)


@given(
    spans=st.lists(st.tuples(moments, st.floats(0, 9)), max_size=8),
    spoken=st.lists(st.tuples(moments, st.floats(0, 9)), max_size=8),
)
def test_a_silence_never_exceeds_its_gap(
    spans: Sequence[tuple[float, float]], spoken: Sequence[tuple[float, float]]
) -> None:
    """However utterances and prompts lie, a silence lies in its gap, the gaps in the take."""
    events: list[Event] = [Heard(start, start + long, "word") for start, long in spans]
    for start, long in spoken:
        events += [PromptStarted(start, "text", "hint"), PromptEnded(start + long)]
    measured = timing(events)
    for gap in measured.gaps:
        assert gap.silence is not None
        assert gap.silent_from is not None
        assert -1e-9 <= gap.silence <= gap.end - gap.start + 1e-9
        assert gap.start - 1e-9 <= gap.silent_from <= gap.end + 1e-9
    if measured.duration is not None:
        assert measured.first_word == pytest.approx(min(start for start, _ in spans))
        assert sum(gap.end - gap.start for gap in measured.gaps) <= measured.duration + 1e-6
