from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.language.english import English
from rehearse.language.english_numbers import spelt
from rehearse.language.token import Kind

ENGLISH = English()
SIDES = {"L": "left", "R": "right"}
doors = st.tuples(st.integers(1, 9), st.sampled_from("LR"))


def named(text: str, kind: Kind) -> list[str]:
    """The doors or crew positions in the text, in order."""
    return [t.form for t in ENGLISH.tokens(text.split()) if t.kind == kind]


@pytest.mark.parametrize(
    "text",
    [
        "door two left",
        "door 2 left",
        "door 2L",
        "door 2l",
        "2L",
        "2 L",
        "Two left!",
        "two left",
        "left door two",
        "left hand door two",
        "left-hand door two",
        "left side door number two",
        "door number two left",
        "door number two on the left",
        "door two on the left hand side",
        "door two on the left side",
        "number two left",
        "door to left",
        "door too left",
        "station two left",
        "L2",
        "l 2",
        "L two",
        "left two armed",
        "door left two",
        "at left two the lamp is lit",
        "two on the left armed",
        "at two on the left hand side",
        "to left armed and cross checked",
        "the lamp at too left is lit",
        "of to left",
    ],
)
def test_door_wordings(text: str) -> None:
    """All that crew call the second door on the left is that door."""
    assert named(text, "door") == ["2L"]


@pytest.mark.parametrize(
    ("text", "door"),
    [
        ("door three rite", "3R"),
        ("door three write", "3R"),
        ("door for left", "4L"),
        ("door won left", "1L"),
        ("door free right", "3R"),
        ("door tree right", "3R"),
        ("starboard is not named so door one right", "1R"),
    ],
)
def test_misprinted_doors(text: str, door: str) -> None:
    """A number or side that was printed as a word sounding the same is understood at a door."""
    assert named(text, "door") == [door]


@pytest.mark.parametrize(
    "text",
    [
        "door ten left",
        "two on the left",
        "turn left two times",
        "to the left",
        "two people left",
        "window two left",
        "row two left armed",
        "seats two left and two right",
        "he left two bags",
        "the left two panes",
        "turn to left",
        "go to right",
        "left two minutes ago",
        "L10",
    ],
)
def test_what_names_no_door(text: str) -> None:
    """A side and a number that do not make a door are left as they are."""
    assert named(text, "door") == []


def test_several_doors() -> None:
    """Each door of a sentence is named, in order."""
    assert named("doors two left and two right", "door") == ["2L", "2R"]
    assert named("2L/2R closed", "door") == ["2L", "2R"]
    assert named("doors two left and right armed", "door") == ["2L", "2R"]
    assert named("two right and left closed", "door") == ["2R", "2L"]
    assert named("doors to left and too right", "door") == ["2L", "2R"]
    assert named("two left and to right armed", "door") == ["2L", "2R"]


def test_a_side_after_a_door_is_not_always_another_door() -> None:
    """A "right" that means at once, or that a number follows, adds no door of its own."""
    assert named("check two left and right after that two right", "door") == ["2L", "2R"]
    assert named("doors two left and right door three", "door") == ["2L", "3R"]


@given(
    doors, st.sampled_from(["door {n} {s}", "door {d}{l}", "{s} door {n}", "door {d} on the {s}"])
)
def test_every_door_in_every_wording(door: tuple[int, str], wording: str) -> None:
    """The number and the side decide, whichever door and whichever wording."""
    number, letter = door
    text = wording.format(n=spelt(number), s=SIDES[letter], d=number, l=letter)
    assert named(text, "door") == [f"{number}{letter}"]


@given(doors)
def test_a_door_keeps_its_printed_words(door: tuple[int, str]) -> None:
    """The token of a door covers its number and its side."""
    number, letter = door
    words = f"open door {spelt(number)} {SIDES[letter]} now".split()
    (token,) = (t for t in ENGLISH.tokens(words) if t.kind == "door")
    assert words[token.first : token.end] == [spelt(number), SIDES[letter]]


@pytest.mark.parametrize(
    ("text", "position"),
    [
        ("C1", "c1"),
        ("tell c one", "c1"),
        ("C-1", "c1"),
        ("c 4", "c4"),
        ("C four", "c4"),
        ("c four's", "c4"),
        ("c4's", "c4"),
        ("position c twelve", "c12"),
    ],
)
def test_crew_positions(text: str, position: str) -> None:
    """A crew position is one token however it is printed."""
    assert named(text, "position") == [position]


def test_numbers_alone_are_no_positions() -> None:
    """A number without the letter names no crew position."""
    assert named("crew member one and two", "position") == []
