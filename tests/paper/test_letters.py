from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.paper.letters import breakable, clean, clip, clusters, legible, numbered, told

FAMILY = "👨\u200d👩\u200d👧"


@given(st.text())
def test_cutting_into_letters_loses_nothing(text: str) -> None:
    """Letters with their marks, put together again, are the text; the same with breaks in it."""
    assert "".join(clusters(text)) == text
    assert breakable(text).replace("\u200b", "") == text.replace("\u200b", "")


def test_marks_stay_with_their_letter() -> None:
    """An accent, a vowel sign, a skin tone or a joined emoji is never torn off or counted apart."""
    assert clusters("e\u0301a") == ["e\u0301", "a"]
    assert clusters(f"x{FAMILY}y") == ["x", FAMILY, "y"]
    assert clusters("👍🏽!") == ["👍🏽", "!"]
    assert clip("e\u0301" * 5, 3) == "e\u0301" * 2 + "…"
    assert clip("abc", 3) == "abc"


@given(st.text())
def test_clean_text_cannot_move_or_turn(text: str) -> None:
    """No line end, control letter or direction override is left; words keep their order."""
    cleaned = clean(text)
    assert not any(c in cleaned for c in "\n\r\t\0\x1b\u202e\u202d\u2066\u2067\u200f")
    assert clean(cleaned) == cleaned


def test_missing_letters_are_numbers() -> None:
    """What stands for a letter is its number, whole; all else stays, and lines may end between."""
    missing = frozenset({"김", FAMILY})
    shown = numbered(f"Kim 김김 {FAMILY}.", missing)
    assert (
        shown == "Kim [U+AE40]\u200b[U+AE40]\u200b [U+1F468 U+200D U+1F469 U+200D U+1F467]\u200b."
    )
    assert breakable(numbered("김" * 9, missing)).replace("\u200b", "") == "[U+AE40]" * 9
    assert all(
        part in {"", "[U+AE40]"} for part in breakable(numbered("김" * 9, missing)).split("\u200b")
    )
    assert numbered("김", frozenset()) == "김"


def test_the_line_about_missing_letters_stays_short() -> None:
    """A hundred missing letters are counted, not listed; none gives no line."""
    line = told(frozenset(chr(0xAC00 + at) for at in range(100)))
    assert "U+AC00 U+AC01" in line
    assert " and 88 more (Hangul)" in line
    assert len(line) < 300
    assert told(frozenset()) == ""


@pytest.mark.parametrize("text", ["a\ufffeb", "a\ud800b", "a\ue000b", "a\0b"])
def test_legible_text_can_be_written(text: str) -> None:
    """Text for a screen holds no half letters and nothing that XML forbids."""
    shown = legible(text)
    assert shown.startswith("a")
    assert shown.endswith("b")
    assert shown.isprintable()
    assert shown.encode()
