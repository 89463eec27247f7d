from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.events import Word
from rehearse.hear.loops import first_confidence, without_loops
from rehearse.hear.scoring import plain, plain_words, printed_words, signs_spoken


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Door two left, armed.", "door two left armed"),
        ("cross-checked", "Cross checked!"),
        ("Belts off! Bags down!", "belts off, bags down"),
        ("“Don’t” open it", "don't open it"),
    ],
)
def test_case_and_punctuation_make_no_difference(one: str, other: str) -> None:
    """No comma decides between two texts."""
    assert plain(one) == plain(other)


@pytest.mark.parametrize(
    ("one", "other"), [("armed", "disarmed"), ("2L", "2R"), ("do not", "do"), ("don't", "dont")]
)
def test_words_that_differ_stay_different(one: str, other: str) -> None:
    """Only marks are taken away, never letters or digits."""
    assert plain(one) != plain(other)


@given(st.text())
def test_printed_words_answer_to_plain_words_one_by_one(text: str) -> None:
    """Every printed word stands for exactly one plain word, whatever the text."""
    printed = printed_words(text)
    assert all(len(plain_words(word)) == 1 for word in printed)


def test_a_decoders_loop_is_cut_to_what_fits_into_the_time() -> None:
    """Nobody says a sentence four times in two seconds."""
    words = tuple("open the flap".split()) * 8
    assert without_loops(words, 1.5) == tuple("open the flap".split()) * 4


def test_a_command_shouted_again_and_again_is_kept() -> None:
    """Repetitions that fit into the time were really said."""
    words = tuple("belts off bags down".split()) * 3
    assert without_loops(words, 6.0) == words


def _words(text: str, *confidence: float) -> list[Word]:
    return [
        Word(word, at, at + 1.0, sure)
        for at, (word, sure) in enumerate(zip(text.split(), confidence, strict=True))
    ]


def test_only_the_first_saying_tells_how_sure_a_repetition_is() -> None:
    """A decoder that repeats itself is sure of its own words, and sobs would pass for a shout."""
    assert first_confidence(_words("Go, go, go!", 0.2, 0.9, 0.9)) == pytest.approx(0.2)
    assert first_confidence(_words("Keep going! Keep going", 0.4, 0.8, 1.0, 1.0)) == pytest.approx(
        0.6
    )


def test_what_is_more_than_a_repetition_is_left_alone() -> None:
    """A sentence that begins with a repeated word would be taken for a decoder's loop."""
    assert first_confidence(_words("No, no, the drum", 0.1, 0.1, 0.9, 0.9)) == 1.0
    assert first_confidence(_words("Stop.", 0.1)) == 1.0
    assert first_confidence([]) == 1.0


def test_many_different_words_are_no_loop() -> None:
    """Fast speech without repetition is left as it is."""
    words = tuple(f"word{at}" for at in range(30))
    assert without_loops(words, 2.0) == words


@pytest.mark.parametrize(
    ("printed", "spoken"),
    [
        ("Slide 2x2, slide 2×2", "Slide 2 by 2, slide 2 by 2"),
        ("exit 2L, box, X2", "exit 2L, box, X2"),
    ],
)
def test_a_sign_between_numbers_is_the_word_that_was_said(printed: str, spoken: str) -> None:
    """'Slide! Two by two!' would be one word that no command holds, and never be credited."""
    assert signs_spoken(printed, "en") == spoken
