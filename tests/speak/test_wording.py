"""Text is spelt as the voice should say it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.speak.wording import spoken


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("Arm door 2L.", "Arm door two left."),
        ("Doors 1R and 3L", "Doors one right and three left"),
        ("2L/2R", "two left, two right"),
        ("Wait for C1 to order it", "Wait for C1 to order it"),
        ("Close the flap. Stay close.", "Cloze the flap. Stay close."),
        ("Then close it, closed and closes", "Then cloze it, closed and closes"),
        ("12 kg, 3 m and 5min", "12 kilograms, 3 metres and 5 minutes"),
        ("2 m/s", "2 m/s"),
        ("two\n  lines", "two lines"),
        ("The Tarn 240", "The Tarn 240"),
    ],
)
def test_english(written: str, said: str) -> None:
    """Doors, units and the verb "close" are written out; everything else stays."""
    assert spoken(written, "en") == said


def test_other_languages_are_left_alone() -> None:
    """English rules are for English."""
    assert spoken("Close the 2L", "ko") == "Close the 2L"


@given(st.text())
def test_twice_is_once(text: str) -> None:
    """Spelling out what is spelt out changes nothing."""
    once = spoken(text, "en")
    assert spoken(once, "en") == once
