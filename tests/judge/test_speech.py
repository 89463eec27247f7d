from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.events import Heard, SlotCheck, Word
from rehearse.judge.speech import WIDEST, Utterance, joined, utterances
from rehearse.language.english import English

ENGLISH = English()
MARGIN = 1.5


def one(heard: Heard) -> Utterance:
    """The utterance made ready."""
    (made,) = utterances([heard], ENGLISH, MARGIN)
    return made


def timed(text: str, starts: list[float]) -> Heard:
    """An utterance with a time for each word, each word 0.3 s long."""
    words = tuple(
        Word(word, start, start + 0.3) for word, start in zip(text.split(), starts, strict=True)
    )
    return Heard(starts[0], starts[-1] + 0.3, text, words)


def clauses(utterance: Utterance) -> list[str]:
    """The texts between the bounds."""
    pairs = zip(utterance.bounds, utterance.bounds[1:], strict=False)
    return [utterance.span(first, last).text for first, last in pairs]


def test_positions_run_through_the_take() -> None:
    """Tokens of a later utterance come later; utterances without a word are passed over."""
    first, second = utterances(
        [Heard(0, 1, "open the flap"), Heard(2, 2, "..."), Heard(3, 4, "pull the pin")],
        ENGLISH,
        MARGIN,
    )
    assert (first.offset, second.offset) == (0, 3)
    assert second.whole.first == first.whole.last
    assert (first.index, second.index) == (0, 1)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("open the flap. pull the pin", ["open the flap.", "pull the pin"]),
        ("open the flap then pull the pin", ["open the flap", "then pull the pin"]),
        ("open it and then pull it", ["open it", "and then", "pull it"]),
        ("open the flap", ["open the flap"]),
    ],
)
def test_clauses_end_at_stops_and_joints(text: str, expected: list[str]) -> None:
    """One breath falls into parts where a sentence ends or "then" begins the next."""
    found = clauses(one(Heard(0, 3, text)))
    assert " ".join(found) == text
    assert found[0] == expected[0]
    assert found[-1].endswith(expected[-1].split()[-1])


def test_a_pause_ends_a_clause() -> None:
    """A silence between two words parts them even without a joint."""
    assert clauses(one(timed("flap open pin pulled", [0.0, 0.4, 1.9, 2.3]))) == [
        "flap open",
        "pin pulled",
    ]


def test_word_times_are_the_recognisers() -> None:
    """With word times a span starts and ends with its words."""
    utterance = one(timed("so the drum is armed", [1.0, 1.5, 2.0, 2.5, 3.0]))
    span = utterance.span(2, 5)
    assert (span.start, span.end) == (2.0, 3.3)
    assert span.text == "drum is armed"


def test_times_are_shared_out_where_none_were_given() -> None:
    """Without word times the words share the utterance's time evenly."""
    utterance = one(Heard(10.0, 14.0, "door two left armed"))
    span = utterance.whole
    assert (span.start, span.end) == (10.0, 14.0)
    assert utterance.span(2, 3).end == 14.0


def test_a_slip_is_left_out_of_what_was_said() -> None:
    """What the speaker took back is in no span, and the utterance tells so."""
    utterance = one(Heard(0, 3, "the drum is armed sorry disarmed"))
    assert utterance.whole.text == "the drum is disarmed"
    assert utterance.mended
    assert utterance.whole.raw == "the drum is armed sorry disarmed"
    assert not one(Heard(0, 3, "the drum is armed")).mended


@pytest.mark.parametrize(
    ("margin", "doubtful"), [(MARGIN - 0.1, {"armed"}), (MARGIN, set()), (9.0, set())]
)
def test_a_close_flip_test_leaves_its_word_in_doubt(margin: float, doubtful: set[str]) -> None:
    """A word whose sound fits its opposite nearly as well is in doubt; others are not."""
    checks = (SlotCheck(3, 1, "armed", "disarmed", margin), SlotCheck(1, 1, "drum", "", 8.0))
    utterance = one(Heard(0, 3, "the drum is armed", checks=checks))
    assert {s.text for s in utterance.spoken if s.doubtful} == doubtful


def test_a_word_that_might_have_been_there_leaves_its_neighbour_in_doubt() -> None:
    """An insertion ("is not armed") that the sound does not rule out falls on the word before."""
    checks = (SlotCheck(3, 0, "", "not", 0.2),)
    utterance = one(Heard(0, 3, "the drum is armed", checks=checks))
    assert [s.text for s in utterance.spoken if s.doubtful] == ["is"]


@pytest.mark.parametrize(("margin", "doubted"), [(MARGIN - 0.1, ["now"]), (MARGIN, [])])
def test_a_word_that_may_have_been_a_denial(margin: float, doubted: list[str]) -> None:
    """A "now" that the sound does not tell from a "not" may deny what was said."""
    checks = (SlotCheck(3, 1, "now", "not", margin),)
    utterance = one(Heard(0, 3, "the axe is now behind the seat", checks=checks))
    assert [s.text for s in utterance.spoken if s.maybe_denied] == doubted


def test_no_flip_test_leaves_no_doubt() -> None:
    """A text without sound is taken as the truth."""
    assert not any(s.doubtful for s in one(Heard(0, 3, "the drum is armed")).spoken)


def test_two_utterances_make_one_span() -> None:
    """A step may go on after a pause; a slip may be mended across it."""
    first, second = utterances(
        [Heard(0, 2, "turn the drum to disarmed"), Heard(3, 4, "no to armed")], ENGLISH, MARGIN
    )
    span = joined(first, second, ENGLISH, MARGIN)
    assert span is not None
    assert span.text == "turn the drum to armed"
    assert (span.start, span.end) == (0.0, 4.0)
    assert (span.first, span.last) == (first.whole.first, second.whole.last)


def test_doubts_stay_with_their_words_when_joined() -> None:
    """A doubtful word of the second utterance is still doubtful in the joined span."""
    first, second = utterances(
        [
            Heard(0, 2, "turn the drum", checks=()),
            Heard(3, 4, "to armed", checks=(SlotCheck(1, 1, "armed", "disarmed", 0.1),)),
        ],
        ENGLISH,
        MARGIN,
    )
    span = joined(first, second, ENGLISH, MARGIN)
    assert span is not None
    assert [s.text for s in span.spoken if s.doubtful] == ["armed"]


def test_long_utterances_are_not_joined() -> None:
    """Two rambles are no one step."""
    long = "one more word " * WIDEST
    first, second = utterances([Heard(0, 9, long), Heard(10, 11, "and done")], ENGLISH, MARGIN)
    assert joined(first, second, ENGLISH, MARGIN) is None


@given(st.lists(st.text(max_size=40), max_size=4))
def test_any_texts_make_utterances(texts: list[str]) -> None:
    """Whatever was heard, bounds rise from 0 to the length and every token has a time."""
    heards = [Heard(float(at), at + 0.5, text) for at, text in enumerate(texts)]
    for utterance in utterances(heards, ENGLISH, MARGIN):
        assert utterance.bounds[0] == 0
        assert utterance.bounds[-1] == len(utterance.spoken)
        assert list(utterance.bounds) == sorted(set(utterance.bounds))
        assert all(s.start <= s.end for s in utterance.spoken)
        assert utterance.heard.start <= utterance.whole.start
        assert utterance.whole.end <= utterance.heard.end + 1e-9
