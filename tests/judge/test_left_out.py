"""What a reason names as left out: words of the step itself, as a person would say them."""

from __future__ import annotations

import pytest

from rehearse.judge.prepared import Wording
from rehearse.judge.terms import terms_of
from rehearse.judge.wording import left_out
from rehearse.language.english import English

ENGLISH = English()
PANES = "Check both witness panes show the amber band and the sill lamp is lit"


@pytest.mark.parametrize(
    ("step", "said", "missing"),
    [
        (
            "Look through the window for fire, water and obstacles",
            "i look for fire water and obstacles",
            "look through the window",
        ),
        (PANES, "both witness panes show the amber band", "the sill lamp is lit"),
        (PANES, "both witness panes show amber and the lamp is lit", "band and the sill"),
        ("Open the flap and pull the spring pin", "i open the flap", "pull the spring pin"),
        (
            "Check that the flap of the opposite door is closed",
            "i check the flap of the door",
            "of the opposite door is closed",
        ),
        (
            "Leave the aircraft when your area is empty or you can stay no longer",
            "i leave the aircraft when my area is empty",
            "or you can stay no longer",
        ),
        ("Open the flap and pull the spring pin", "open the flap pull the spring pin", ""),
    ],
)
def test_parts_are_named_as_the_step_prints_them(step: str, said: str, missing: str) -> None:
    """A trainee hears the part to add, in the step's words and order, not a heap of key words."""
    tokens = tuple(ENGLISH.tokens(step.split()))
    wording = Wording(step, tokens, (), terms_of(step, {}, ENGLISH), canonical=True)
    assert left_out(wording, ENGLISH.tokens(said.split()), ENGLISH) == missing
