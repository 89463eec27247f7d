from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.language.english import English
from rehearse.language.english_numbers import spelt

ENGLISH = English()


def numbers(text: str) -> list[int]:
    """The numbers in the text, in order."""
    return [int(t.form) for t in ENGLISH.tokens(text.split()) if t.kind == "number"]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("zero", [0]),
        ("two", [2]),
        ("fifteen", [15]),
        ("twenty one", [21]),
        ("twenty-one", [21]),
        ("one twenty", [120]),
        ("one twenty five", [125]),
        ("hundred", [100]),
        ("a hundred", [100]),
        ("a hundred and twenty", [120]),
        ("one hundred and twenty", [120]),
        ("three hundred sixty", [360]),
        ("two hundred and five", [205]),
        ("ten thousand", [10_000]),
        ("a thousand", [1000]),
        ("a thousand and five", [1005]),
        ("thousand feet", [1000]),
        ("one thousand two hundred and thirty four", [1234]),
        ("two thousand five hundred", [2500]),
        ("five hundred thousand", [500_000]),
        ("10,000", [10_000]),
        ("1,250 feet", [1250]),
        ("90degrees", [90]),
        ("90 degrees", [90]),
        ("both", [2]),
        ("a pair of gloves", [2]),
        ("a couple of times", [2]),
        ("twice", [2]),
        ("thrice", [3]),
        ("a dozen", [12]),
        ("two by two", [2, 2]),
        ("one two three", [1, 2, 3]),
        ("six seconds and ten litres", [6, 10]),
    ],
)
def test_number_words(text: str, values: list[int]) -> None:
    """What people say for a number becomes that number, one token each."""
    assert numbers(text) == values


@pytest.mark.parametrize("text", ["any one", "each one of them", "no one", "which one", "someone"])
def test_one_that_counts_nothing(text: str) -> None:
    """The "one" that stands for somebody is no number."""
    assert numbers(text) == []


@pytest.mark.parametrize("text", ["go to the exit", "wait for me", "it is free", "he won"])
def test_words_that_sound_like_numbers(text: str) -> None:
    """A word that sounds like a number stays a word away from a door."""
    assert numbers(text) == []


def test_a_number_keeps_its_printed_words() -> None:
    """A number of several words says which printed words it came from."""
    (number,) = (
        t for t in ENGLISH.tokens("turn a hundred and twenty degrees".split()) if t.kind == "number"
    )
    assert (number.first, number.count) == (2, 3)


@given(st.integers(0, 9999))
def test_a_number_said_is_read_back(value: int) -> None:
    """Spelling a number and reading it gives the number."""
    assert numbers(spelt(value)) == [value]


@given(st.integers(10_000, 999_999_999))
def test_large_numbers_stay_in_digits(value: int) -> None:
    """From ten thousand up a number is spelt in digits, and is read back too."""
    assert spelt(value) == str(value)
    assert numbers(spelt(value)) == [value]


@given(st.integers(1000, 999_999_999))
def test_digits_may_be_grouped(value: int) -> None:
    """Commas between thousands change nothing."""
    assert numbers(f"{value:,}") == [value]


def test_a_sign_for_percent_is_the_word() -> None:
    """A recogniser prints "100%" for "one hundred percent", and the unit is not lost."""
    printed, spoken = (
        [token.form for token in ENGLISH.tokens(text.split())]
        for text in ("at 100%.", "at one hundred percent")
    )
    assert printed == spoken
