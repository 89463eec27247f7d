"""How a step is quoted: never more of it than was meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.coach.wording import first_words, sentence


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("Turn the mode drum a quarter turn", "Turn the mode"),
        ("Slide! Two by two!", "Slide"),
        ("No slide! Stand back!", "No slide"),
        ("Get low! Hold your legs!", "Get low"),
        ("Wait for C1 to order the door closed", "Wait for"),
        ("Stand back", "Stand"),
        ("Stop", "Stop"),
        ("If the slide-raft is empty, go", "If the slide-raft"),
    ],
)
def test_first_words(step: str, words: str) -> None:
    """Three words, or those before the first mark, without a hanging short word."""
    assert first_words(step) == words


@given(st.lists(st.sampled_from(["turn", "a", "drum!", "the", "C1"]), min_size=2, max_size=9))
def test_first_words_never_give_the_whole_step(words: list[str]) -> None:
    """However short the step, something is left for the trainee to say."""
    given_away = first_words(" ".join(words)).split()
    assert 0 < len(given_away) < len(words)


@pytest.mark.parametrize(
    ("text", "ended"), [("Go", "Go."), ("Go!", "Go!"), (" Go. ", "Go."), ("", "")]
)
def test_sentence(text: str, ended: str) -> None:
    """A full stop is added only where nothing ends the text."""
    assert sentence(text) == ended
