from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.judge.repair import repair, same_set
from rehearse.language.english import English

ENGLISH = English()
PAIRS = [
    ("armed", "disarmed"),
    ("left", "right"),
    ("open", "closed"),
    ("pull", "push"),
    ("amber", "white"),
    ("six", "seven"),
    ("inside", "outside"),
]
MARKERS = ["no", "sorry", "no wait", "i mean", "correction", "or rather", "make that"]


def mended(text: str, protected: str = "") -> tuple[str, str]:
    """What was meant, and what was taken back."""
    tokens = ENGLISH.tokens(text.split())
    found = repair(tokens, ENGLISH.lexicon, frozenset(protected.split()))
    return " ".join(t.form for t in found.tokens), " ".join(t.form for t in found.slips)


@pytest.mark.parametrize(
    ("said", "meant", "slip"),
    [
        ("the drum is armed sorry disarmed", "the drum is disarmed", "armed"),
        ("the drum is armed, no, disarmed", "the drum is disarmed", "armed"),
        ("armed no disarmed", "disarmed", "armed"),
        ("door two right no two left", "door 2L", "2R"),
        ("door two left make that door two right armed", "door 2R armed", "door 2L"),
        ("turn it to disarmed no wait to armed", "turn it to armed", "to disarmed"),
        ("pull no push the toggle", "push the toggle", "pull"),
        ("wait six no seven seconds", "wait 7 seconds", "6"),
        ("c one sorry c four", "c4", "c1"),
        ("amber no white no amber", "amber", "amber white"),
        ("turn it away from the hinge no towards the hinge", "turn it towards the hinge",
         "away from the hinge"),
        ("the lamp is lit i mean the lamp is out", "the lamp is out", "the lamp is lit"),
        ("i check one pane scratch that both panes", "i check 2 panes", "1 pane"),
        ("one lamp oops both lamps", "2 lamps", "1 lamp"),
        ("still armed disarmed i mean disarmed", "still disarmed", "armed disarmed"),
        ("the lamp is out lit i mean out", "the lamp is out", "out lit"),
        ("hook up i mean unhook it the strap", "unhook it the strap", "hook up"),
        ("hook up the strap i mean unhook it", "unhook it", "hook up the strap"),
        ("away or rather towards the hinge", "towards the hinge", "away"),
        ("door three no wait two left", "door 2L", "3"),
        ("do not pull no wait do pull the toggle", "do pull the toggle", "do not pull"),
        ("the drum is armed let me say it again the drum is disarmed", "the drum is disarmed",
         "the drum is armed"),
        ("turn it away to disarmed let me start again turn it towards the hinge to armed",
         "turn it towards the hinge to armed", "turn it away to disarmed"),
        ("to c two no wait for c one", "to wait for c1", "c2"),
    ],
)  # fmt: skip
def test_the_last_version_counts(said: str, meant: str, slip: str) -> None:
    """A slip gives way to what mends it, in both directions, and is noted."""
    assert mended(said) == (meant, slip)


@pytest.mark.parametrize(
    "said",
    [
        "no the drum is armed",
        "there is no light",
        "no one is left",
        "i said armed not disarmed",
        "hold on to the grip",
        "hang on to the assist grip while you reach",
        "open the flap and no pull the pin",
        "no no armed",
        "let me say it again turn the drum",
        "um no um slide stand back",
        "i stand still no wait for c one",
        "when it is empty or i can stay no longer i leave the aircraft",
        "the door is open",
        "sorry",
        "",
    ],
)
def test_what_mends_nothing_stays(said: str) -> None:
    """A "no" or "hold on" that visibly mends nothing takes no word away."""
    meant, slip = mended(said)
    assert slip == ""
    assert meant == " ".join(t.form for t in ENGLISH.tokens(said.split()))


def test_a_correcting_no_denies_nothing() -> None:
    """What follows "no" as a correction is affirmed; a "not" of its own still denies it."""

    def denied(text: str) -> list[str]:
        found = repair(ENGLISH.tokens(text.split()), ENGLISH.lexicon)
        return [token.form for token in found.tokens if token.negated]

    assert denied("the drum is disarmed no armed and lit") == []
    assert denied("the drum is disarmed no not armed") == ["armed"]
    assert denied("there is no armed drum") == ["armed", "drum"]


def test_words_of_a_command_mend_nothing() -> None:
    """A correcting word that belongs to the command is a word of it."""
    assert mended("left sorry right") == ("right", "left")
    assert mended("left sorry right", protected="sorry") == ("left sorry right", "")


@given(st.sampled_from(PAIRS), st.sampled_from(MARKERS), st.booleans())
def test_every_slot_is_mended_both_ways(pair: tuple[str, str], marker: str, turned: bool) -> None:
    """Whatever the slot and the correcting words, what was said last is what was meant."""
    slip, meant = reversed(pair) if turned else pair
    tokens, slips = mended(f"it is {slip} {marker} {meant} i say")
    assert tokens == mended(f"it is {meant} i say")[0]
    assert slips == mended(slip)[0]


@given(
    st.lists(
        st.sampled_from(
            "no sorry armed disarmed the door two left right i mean wait six open hold on".split()
        ),
        max_size=14,
    )
)
def test_nothing_is_invented(words: list[str]) -> None:
    """Every word is kept, taken back, or a correcting word; kept ones stay in their order."""
    tokens = ENGLISH.tokens(words)
    found = repair(tokens, ENGLISH.lexicon)
    places = [(t.form, t.first) for t in tokens]
    kept = [(t.form, t.first) for t in found.tokens]
    slips = [(t.form, t.first) for t in found.slips]
    assert [place for place in places if place in kept] == kept
    assert set(kept).isdisjoint(slips)
    lexicon = ENGLISH.lexicon
    correcting = {w for form in (*lexicon.corrections, *lexicon.restarts, ("no",)) for w in form}
    rest = [form for form, first in places if (form, first) not in kept + slips]
    assert set(rest) <= correcting


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("armed", "disarmed", True),
        ("2L", "3R", True),
        ("six", "seven", True),
        ("armed", "armed", False),
        ("armed", "left", False),
        ("two", "left", False),
        ("amber", "white", True),
    ],
)
def test_values_of_one_set(one: str, other: str, same: bool) -> None:
    """Two different values of a set may stand for one another; others may not."""
    (first,), (second,) = ENGLISH.tokens([one]), ENGLISH.tokens([other])
    assert same_set(first, second, ENGLISH.lexicon) is same
    assert same_set(second, first, ENGLISH.lexicon) is same
