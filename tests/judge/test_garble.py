from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rehearse.book.shelf import find
from rehearse.events import Heard
from rehearse.judge.garble import Mended, mend, mended_wording
from rehearse.judge.prepared import prepare
from rehearse.judge.speech import utterances
from rehearse.language.english import English
from rehearse.language.english_forms import skeleton

ENGLISH = English()
ARM = prepare(find("arm-door-2l"), ENGLISH)
STEPS = {step.step.id: step for step in ARM.steps}


def mended(step: str, said: str) -> Mended:
    """What was said with misprints put right."""
    (utterance,) = utterances([Heard(0.0, 5.0, said)], ENGLISH, 1.5)
    wanted = STEPS[step].canonical.tokens
    return mend(utterance.whole, wanted, ARM.known, ENGLISH.lexicon)


@pytest.mark.parametrize(
    ("step", "said", "changes"),
    [
        ("flap", "open the flap and pull the spring pen", [("pen", "pin")]),
        ("flap", "open the flab and pull the spring pin", [("flab", "flap")]),
        (
            "panes",
            "check both wit ness panes show the amber band and the seal lamb is lit",
            [("wit ness", "witness"), ("seal", "sill"), ("lamb", "lamp")],
        ),
        ("panes", "both witness pains", [("pains", "panes")]),
        ("pin", "let the spring pin snap home and close the flat", [("flat", "flap")]),
    ],
)
def test_words_that_sound_like_missing_ones(
    step: str, said: str, changes: list[tuple[str, str]]
) -> None:
    """A misprint is read as the missing word it sounds like, and decides nothing by itself."""
    found = mended(step, said)
    assert list(found.changes) == changes
    assert found.slots == ()


@pytest.mark.parametrize(
    ("step", "said", "slot"),
    [
        ("drum", "turn the mode drum a quarter turn towards the hinge to harmed", "armed"),
        ("drum", "turn the mode drum a quarter turn towards the hinge to charmed", "armed"),
        ("panes", "check both witness panes show the umber band", "amber"),
        ("panes", "check both witness panes show the amber band and the sill lamp is lead", "lit"),
    ],
)
def test_a_misprint_of_a_deciding_word_is_told(step: str, said: str, slot: str) -> None:
    """A garbled word that decides the step is named, so that nobody guesses it."""
    assert slot in mended(step, said).slots


@pytest.mark.parametrize(
    "said",
    [
        "let the spring pin snap home and close the flap",
        "turn the mode drum a quarter turn towards the hinge to disarmed",
        "turn the mode drum a quarter turn away from the hinge",
        "good morning ladies and gentlemen",
        "",
    ],
)
def test_real_words_are_left_alone(said: str) -> None:
    """Words of the trade are right as they stand, opposites above all."""
    if said:
        assert mended("drum", said).changes == ()


def test_an_inflected_word_is_no_misprint() -> None:
    """Another form of a word of the step is that word, and is left as it was said."""
    assert mended("pin", "the pin is snapping home and the flap closed").changes == ()


@pytest.mark.parametrize(
    ("step", "said", "text"),
    [
        ("flap", "open the flap and pull the spring pen", "open the flap and pull the spring pin"),
        ("pin", "let the spring pin snap home and close the flat",
         "let the spring pin snap home and close the flap"),
    ],
)  # fmt: skip
def test_misprints_are_tried_for_every_wording(step: str, said: str, text: str) -> None:
    """Whichever wording was nearest before, the one that fits the mended words is found."""
    (utterance,) = utterances([Heard(0.0, 5.0, said)], ENGLISH, 1.5)
    wordings = STEPS[step].wordings
    for nearest in wordings:
        wording, found = mended_wording(utterance.whole, wordings, nearest, ARM.known, ENGLISH)
        assert (wording, found.text) == (wordings[0], text)


def test_joined_words_are_tried_for_every_wording() -> None:
    """ "To wards a row open" is mended though the nearest wording has no "towards"."""
    wheel = next(
        s for s in prepare(find("open-door-emergency"), ENGLISH).steps if s.step.id == "wheel"
    )
    known = prepare(find("open-door-emergency"), ENGLISH).known
    said = Heard(0.0, 5.0, "turn the wheel half a turn to wards a row open")
    (utterance,) = utterances([said], ENGLISH, 1.5)
    wording, found = mended_wording(
        utterance.whole, wheel.wordings, wheel.wordings[-1], known, ENGLISH
    )
    assert wording == wheel.canonical
    assert found.text == "turn the wheel half a turn towards arrow open"


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        (
            "turn the drum ninety degrees away from the hinge until it reads the sound",
            ("disarmed",),
        ),
        ("turn the drum ninety degrees away from the hinge until it reads the sand", ("disarmed",)),
        ("turn the drum ninety degrees away from the hinge until it reads the arm", ()),
        ("turn the drum ninety degrees away from the hinge until it reads on", ()),
    ],
)
def test_two_words_that_an_accent_makes_of_one(said: str, slots: tuple[str, ...]) -> None:
    """What many an accent makes of a word that decides is that word in doubt; no other one is."""
    prepared = prepare(find("disarm-door-1l"), ENGLISH)
    drum = next(step for step in prepared.steps if step.step.id == "drum")
    (utterance,) = utterances([Heard(0.0, 5.0, said)], ENGLISH, 1.5)
    found = mend(utterance.whole, drum.canonical.tokens, prepared.known, ENGLISH.lexicon)
    assert found.slots == slots


@pytest.mark.parametrize("step", list(STEPS))
def test_the_book_itself_needs_no_mending(step: str) -> None:
    """A step read off is changed in nothing."""
    assert mended(step, STEPS[step].step.say).changes == ()


@given(st.sampled_from(sorted(STEPS)), st.text(st.characters(codec="ascii"), max_size=60))
def test_mending_invents_only_words_of_the_step(step: str, said: str) -> None:
    """Whatever was heard, what a misprint is read as is a word of the step that was not heard."""
    assume(utterances([Heard(0.0, 5.0, said)], ENGLISH, 1.5))
    wanted = {token.form for token in STEPS[step].canonical.tokens}
    spelt = wanted | {"two"}
    assert all(word in spelt for _, word in mended(step, said).changes)


@pytest.mark.parametrize(
    ("one", "other"), [("seal", "sill"), ("pane", "pain"), ("phone", "fone"), ("cent", "sent")]
)
def test_the_skeleton_keeps_what_is_heard(one: str, other: str) -> None:
    """Words that differ in vowels or spelling alone have one skeleton."""
    assert skeleton(one) == skeleton(other)


@given(st.text(min_size=1))
def test_every_word_has_a_skeleton(word: str) -> None:
    """Even a word of vowels alone leaves something to compare."""
    assert skeleton(word)
