"""Whether deciding words came through."""

from __future__ import annotations

from rehearse.bench.hearing.slots import Outcome, exact, slots
from rehearse.events import SlotCheck
from rehearse.language import load

ENGLISH = load("en")
SAID = "Door two left armed and cross-checked"


def outcomes(said: str, heard: str) -> list[Outcome]:
    """What became of every slot."""
    return [slot.outcome for slot in slots(said, heard, heard, (), ENGLISH)]


def test_words_that_came_through_are_right_however_they_are_printed() -> None:
    """A right hearing would be counted as wrong for its spelling."""
    assert set(outcomes(SAID, "door 2L armed, and cross checked.")) == {"right"}
    assert exact(SAID, "door 2L armed, and cross checked.", ENGLISH)
    assert not exact(SAID, "door 2L arm and cross checked", ENGLISH)


def test_a_word_heard_as_its_opposite_is_turned() -> None:
    """The one fault that matters most would not be counted."""
    assert outcomes("turn the drum to armed", "turn the drum to disarmed") == ["turned"]
    assert "turned" in outcomes(SAID, "door two right armed and cross-checked")
    assert outcomes("do not inflate the vest", "inflate the vest")[0] == "turned"


def test_a_word_that_is_neither_is_lost() -> None:
    """A garble would count as a confusion, or as heard."""
    assert outcomes("turn the drum to armed", "turn the drum to army") == ["lost"]
    assert set(outcomes(SAID, "")) == {"lost"}


def test_other_garbles_take_nothing_from_a_slot() -> None:
    """Deciding words would count as lost wherever another word is misread."""
    assert outcomes("turn the mode drum to armed", "turn the moat rum to armed") == ["right"]


def test_the_margin_is_that_of_the_word_s_own_test() -> None:
    """A doubtful opposite would count as held for sure, and thresholds be fitted on other words."""
    checks = (SlotCheck(1, 2, "two left", "two right", 7.0), SlotCheck(4, 1, "armed", "", 2.0))
    found = slots(SAID, SAID, SAID, (*checks, SlotCheck(3, 1, "armed", "disarmed", 5.0)), ENGLISH)
    assert found[0].margin == 7.0
    assert found[1].margin == 2.0  # the nearest of those on the same word
    heard = "turn the drum to disarmed"
    (slot,) = slots(
        "turn the drum to armed",
        heard,
        "turn the drum to armed",
        (SlotCheck(4, 1, "disarmed", "armed", 1.5),),
        ENGLISH,
    )
    assert (slot.outcome, slot.read, slot.margin) == ("turned", "right", 1.5)
