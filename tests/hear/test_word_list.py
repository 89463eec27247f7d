"""A closed list without a model: what is a word of it, and what a path through it says."""

from __future__ import annotations

import pytest

from rehearse.hear.word_list import UNKNOWN, Grammar, Vocabulary, printed
from rehearse.language import load
from rehearse.language.aloud import aloud

KOREAN = Vocabulary(
    {"문", "을", "문틀", "연다", "이", "번", "왼쪽", "씨", "일"}.__contains__, load("ko")
)
ENGLISH = Vocabulary(
    {"door", "two", "left", "armed", "and", "cross", "checked", "c", "four"}.__contains__,
    load("en"),
)


@pytest.mark.parametrize(
    ("word", "language", "sounds"),
    [
        ("2L", "en", ("two", "left")),
        ("C4,", "en", ("c", "four")),
        ("(2R).", "en", ("two", "right")),
        ("cross-checked.", "en", ("cross", "checked")),
        ("10", "en", ("ten",)),
        ("21", "en", ("twenty", "one")),
        ("don't", "en", ("don't",)),
        ("2번", "ko", ("이", "번")),
        ("2L", "ko", ("이", "번", "왼쪽", "문")),
        ("C1에게", "ko", ("씨", "일", "에게")),
        ("—", "en", ()),
    ],
)
def test_a_printed_word_as_it_sounds(word: str, language: str, sounds: tuple[str, ...]) -> None:
    """Figures and designators are looked for in the vocabulary as they are said."""
    assert aloud(word, load(language)) == sounds


def test_a_joined_word_is_heard_in_pieces() -> None:
    """A noun with its particle is known when both are; the printed word stays whole."""
    spelling = KOREAN.spelling("2번 문을 연다")
    assert spelling is not None
    assert spelling.pieces == ("이", "번", "문", "을", "연다")
    assert spelling.counts == (2, 2, 1)


def test_an_unknown_word_is_named_and_its_text_is_not_listed() -> None:
    """No word is dropped in silence: a text with a gap would be credited without it."""
    assert ENGLISH.spelling("Door two left disarmed and cross-checked") is None
    assert ENGLISH.lacking("Door 2L disarmed and cross-checked") == ("disarmed",)
    assert ENGLISH.lacking("C4, door two left armed") == ()


def test_english_words_are_not_taken_apart() -> None:
    """ "crossdoor" is no word because "cross" and "door" are: it is not said like them."""
    assert ENGLISH.spelling("crossdoor") is None


def _grammar(*texts: str) -> Grammar:
    spelt = [ENGLISH.spelling(text) for text in texts]
    return Grammar([each for each in spelt if each is not None], ("[garbage]", 3))


def test_listed_texts_are_found_one_after_another() -> None:
    """Two steps in one breath are two listed texts; half of one is none."""
    grammar = _grammar("Door two left armed", "cross-checked")
    found = grammar.listed(("door", "two", "left", "armed", "cross", "checked"))
    assert found is not None
    assert [spelling.text for spelling in found] == ["Door two left armed", "cross-checked"]
    assert grammar.listed(("door", "two", "left")) is None
    assert grammar.listed(("door", "two", "left", UNKNOWN, "armed")) is None


def test_the_filler_is_always_a_rival() -> None:
    """Without something for "none of these" any noise becomes a listed text."""
    assert _grammar("cross-checked").phrases == ["cross checked", *["[garbage]"] * 3]


def test_pieces_are_printed_as_words_where_they_make_one() -> None:
    """A jumble of the list reads in whole words as far as it can."""
    words: dict[tuple[str, ...], str] = {("문", "을"): "문을", ("이", "번"): "2번"}
    assert printed(("이", "번", "문", "을", "을"), words) == ("2번", "문을", "을")
