from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.shelf import SHIPPED, all_procedures
from rehearse.judge.slots import Agreement, Slot, compare, slots
from rehearse.language.english import English

ENGLISH = English()
PARTS = ("agreed", "missing", "contradicted")
WORDINGS = sorted(
    {
        wording
        for procedure in all_procedures([SHIPPED])
        if procedure.language == "en"
        for step in procedure.steps
        for wording in step.wordings
    }
)


def slots_of(text: str) -> tuple[Slot, ...]:
    """The slots of the text."""
    return slots(ENGLISH.tokens(text.split()), ENGLISH.lexicon)


def named(found: tuple[Slot, ...]) -> list[str]:
    """The slots as set=value."""
    return [f"{slot.name}={slot.value}" for slot in found]


def agreement(step: str, said: str) -> Agreement:
    """How what was said compares with the step."""
    return compare(slots_of(step), slots_of(said))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("turn the drum to armed", ["arming=armed"]),
        ("it is disarmed", ["arming=disarmed"]),
        ("unarmed", ["arming=disarmed"]),
        ("door two left", ["door=2L"]),
        ("on the left", ["side=left"]),
        ("left hand side", ["side=left"]),
        ("both panes are amber", ["number=2", "colour=amber"]),
        ("tell c one", ["position=c1"]),
        ("half a turn", ["extent=half"]),
        ("a quarter of a turn", ["extent=quarter"]),
        ("the sill lamp is on", ["light=lit"]),
        ("the sill lamp is dark", ["light=out"]),
        ("i carry on", []),
        ("pull the toggle", ["push=pull"]),
        ("away from the hinge", ["toward=away"]),
        ("good morning", []),
        ("half a minute", ["number=30", "unit=second"]),
        ("wait a minute and a half", ["number=90", "unit=second"]),
        ("two minutes", ["number=120", "unit=second"]),
        ("ninety degrees", ["extent=quarter"]),
        ("turn it a hundred and eighty degrees", ["extent=half"]),
        ("forty five degrees", ["extent=45 degrees"]),
        ("a couple of panes", ["number=2"]),
        ("the pair of them", ["number=2"]),
        ("the two panes", ["number=2"]),
        ("the lamp on the sill", []),
        ("the lamp on the sill is on", ["light=lit"]),
    ],
)
def test_slots_are_found(text: str, expected: list[str]) -> None:
    """The words that decide a step are found with their set and value, where their noun is."""
    assert named(slots_of(text)) == expected


def test_a_longer_phrase_counts_once() -> None:
    """A phrase that holds a shorter one of its set is one slot, not two."""
    found = [slot for slot in slots_of("a quarter turn") if slot.name == "extent"]
    assert [(slot.value, slot.count) for slot in found] == [("quarter", 2)]


@pytest.mark.parametrize(
    ("step", "said", "outcome"),
    [
        ("drum armed", "drum armed", {"agreed": "arming=armed"}),
        ("drum armed", "drum disarmed", {"contradicted": "arming=armed"}),
        ("drum armed", "drum turned", {"missing": "arming=armed"}),
        ("drum armed", "drum armed not disarmed", {"agreed": "arming=armed"}),
        ("drum armed", "drum not disarmed", {"missing": "arming=armed"}),
        ("drum armed", "disarmed then armed", {"agreed": "arming=armed", "mixed": "arming=armed"}),
        ("both panes", "one pane", {"contradicted": "number=2"}),
        ("both panes", "two panes", {"agreed": "number=2"}),
        ("both panes", "the panes", {"missing": "number=2"}),
        ("door two left", "door two right", {"contradicted": "door=2L"}),
        ("door two left", "two left and two right", {"agreed": "door=2L", "mixed": "door=2L"}),
        ("sill lamp lit", "sill lamp on", {"agreed": "light=lit"}),
        ("sill lamp lit", "sill lamp out", {"contradicted": "light=lit"}),
        ("half a turn", "a quarter turn", {"contradicted": "extent=half"}),
        ("half a turn", "180 degrees", {"agreed": "extent=half"}),
        ("half a turn", "ninety degrees", {"contradicted": "extent=half"}),
        ("half a turn", "forty five degrees", {"contradicted": "extent=half"}),
        ("ninety degrees", "a quarter turn with both hands", {"agreed": "extent=quarter"}),
    ],
)
def test_comparison(step: str, said: str, outcome: dict[str, str]) -> None:
    """A value that is there agrees, a silent set is missing, another value contradicts."""
    found = agreement(step, said)
    parts = {part: named(getattr(found, part)) for part in (*PARTS, "mixed")}
    assert parts == {part: [outcome[part]] if part in outcome else [] for part in parts}
    assert len(found.against) == len(found.contradicted)


@pytest.mark.parametrize(
    ("step", "said", "fits"),
    [
        ("hold thirty seconds", "half a minute", True),
        ("hold sixty seconds", "one minute", True),
        ("hold six seconds", "half a minute", False),
        ("hold two minutes", "two seconds", False),
    ],
)
def test_times_are_compared_in_seconds(step: str, said: str, fits: bool) -> None:
    """A time is the same time in minutes and in seconds, and another one in neither."""
    found = agreement(step, said)
    assert bool(found.contradicted) is not fits
    assert [slot for slot in found.agreed if slot.name == "number"] != [] if fits else True


def test_what_stands_against_a_slot_is_kept() -> None:
    """A contradicted slot comes with what was said in its place and where."""
    (against,) = agreement("drum armed", "turn it to disarmed").against
    assert (against.value, against.first) == ("disarmed", 3)


@pytest.mark.parametrize("wording", WORDINGS)
def test_a_wording_agrees_with_itself(wording: str) -> None:
    """Read off, a step has every slot and contradicts none."""
    found = agreement(wording, wording)
    assert found.missing == found.contradicted == ()
    assert set(found.agreed) == set(slots_of(wording))


@given(st.sampled_from(WORDINGS), st.sampled_from(WORDINGS))
def test_every_slot_of_a_step_is_accounted_for(step: str, said: str) -> None:
    """Each slot of the step is agreed, missing or contradicted, exactly one of them."""
    found = agreement(step, said)
    parts = [slot for part in PARTS for slot in getattr(found, part)]
    assert sorted(map(repr, parts)) == sorted(map(repr, slots_of(step)))
    assert set(found.mixed) <= set(found.agreed)
