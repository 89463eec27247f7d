"""How a step is quoted: never more of it than was meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.coach.wording import brief, first_words, sentence, stretch


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


@pytest.mark.parametrize(
    ("step", "named"),
    [
        ("Slide! Two by two!", "Slide! Two by two!"),
        ("Turn the mode drum a quarter turn to armed", "Turn the mode drum"),
        ("Open the flap, pull the pin out", "Open the flap, pull the"),
    ],
)
def test_brief(step: str, named: str) -> None:
    """A short step is named in full, a long one by its start."""
    assert brief(step) == named


@pytest.mark.parametrize(
    ("step", "missing", "said"),
    [
        ("Let the spring pin snap home and close the flap", "close flap", "close the flap"),
        ("Check the panes are amber and the lamp is lit.", "lamp lit", "lamp is lit"),
        ("Open the flap and pull the spring pin", "open pin", "open pin"),
        ("Open the flap", "cover", "cover"),
        ("Open the flap", "", ""),
    ],
)
def test_stretch(step: str, missing: str, said: str) -> None:
    """Missing words that stand together are told with the small words between them."""
    assert stretch(step, missing) == said
