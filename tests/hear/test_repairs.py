from __future__ import annotations

from collections.abc import Callable

import pytest

from rehearse.hear.recogniser import Expectation
from rehearse.hear.repairs import Repairer, likeness, swapped
from rehearse.hear.scoring import plain, printed_words
from rehearse.hear.thresholds import THRESHOLDS
from rehearse.language import Language

Proposed = Callable[..., dict[str, float]]


@pytest.fixture
def proposed(expectation: Expectation, language: Language) -> Proposed:
    """The texts proposed for a reading, in lower case, each with its allowance."""
    repairer = Repairer(expectation, language, THRESHOLDS)

    def find(reading: str, confidence: float = 0.2) -> dict[str, float]:
        words = printed_words(reading)
        return {
            plain(" ".join(swapped(words, r.first, r.count, r.words))).lower(): r.allowance
            for r in repairer.proposals(words, [confidence] * len(words))
        }

    return find


@pytest.mark.parametrize(
    ("reading", "meant"),
    [
        ("Check both witness pains show the amber band and the sill lamp is lit",
         "check both witness panes show the amber band and the sill lamp is lit"),
        ("Turn the mode drama quarter turn towards the hinge to armed",
         "turn the mode drum a quarter turn towards the hinge to armed"),
        ("Turn the grey camp to bypass", "turn the grey cam to bypass"),
        ("or two left armed and cross checked", "door two left armed and cross checked"),
    ],
)  # fmt: skip
def test_a_garble_is_proposed_to_be_what_it_sounds_like(
    proposed: Proposed, reading: str, meant: str
) -> None:
    """Sound-alikes of expected words are proposed with an allowance."""
    assert proposed(reading).get(meant, 0.0) > 0


def test_both_sides_of_a_contrast_are_proposed_alike(proposed: Proposed) -> None:
    """A garble between two opposites leans to neither of them."""
    texts = proposed("Door two left thisarmed and cross checked")
    sides = [texts[f"door two left {side} and cross checked"] for side in ("armed", "disarmed")]
    assert sides[0] == sides[1]


def test_a_word_that_decides_something_gets_no_allowance(proposed: Proposed) -> None:
    """A slot that was read stays as it is unless the sound itself prefers another."""
    texts = proposed("Turn the grey cam two bypass left")
    texts |= proposed("Push the red toggle on the inner left of the sill")
    assert texts.get("pull the red toggle on the inner left of the sill", 0.0) == 0.0


def test_another_ending_of_a_deciding_word_gets_an_allowance(proposed: Proposed) -> None:
    """ "arm" for "armed" changes nothing that matters."""
    texts = proposed("Door two left arm and cross checked")
    assert texts["door two left armed and cross checked"] == THRESHOLDS.inflected


def test_added_and_dropped_words_get_no_allowance(proposed: Proposed) -> None:
    """What was not read at all must be earned from the sound."""
    texts = proposed("Door two left and cross checked")
    assert texts["door two left armed and cross checked"] == 0.0


def test_words_read_with_confidence_are_left_alone(proposed: Proposed) -> None:
    """A clear word is not bent towards the procedure."""
    texts = proposed("Turn the grey camp to bypass", confidence=0.95)
    assert all(allowance == 0.0 for allowance in texts.values())


def test_another_spelling_is_no_difference(proposed: Proposed) -> None:
    """ "2 left" and "two left" are the same words: nothing is proposed."""
    texts = proposed("Door 2 left armed and cross-checked")
    assert "door two left armed and cross checked" not in texts


@pytest.mark.parametrize(
    ("reading", "meant"),
    [
        ("The megaphone is in the locker after door three left",
         "the megaphone is in the locker aft of door three left"),
        ("Report your area ready to see one before 500 feet",
         "report your area ready to c one before 500 feet"),
    ],
)  # fmt: skip
def test_words_that_sound_the_same_are_what_is_expected(
    language: Language, reading: str, meant: str
) -> None:
    """No sound tells "after" from "aft of": a sure reading and a deciding word give way too."""
    wordings = (
        "The megaphone is in the locker aft of door three left",
        "Report your area ready to C1 before five hundred feet",
    )
    repairer = Repairer(Expectation("en", wordings, ()), language, THRESHOLDS)
    words = printed_words(reading)
    found = {
        plain(" ".join(swapped(words, r.first, r.count, r.words))).lower(): r.allowance
        for r in repairer.proposals(words, [0.99] * len(words))
    }
    assert found[meant] == THRESHOLDS.homophone


def test_what_has_nothing_in_common_is_not_bent(proposed: Proposed) -> None:
    """No word that decides a step gets into chatter with an allowance."""
    texts = proposed("We painted the kitchen yellow but now I think it is too bright")
    allowed = {word for text, allowance in texts.items() if allowance for word in text.split()}
    assert not allowed & {"right", "left", "armed", "amber", "lit", "pull", "after", "bypass"}


def test_a_swap_keeps_punctuation_and_capital() -> None:
    """The text stays readable after a word in it changed."""
    words = ("Pull", "the", "bin,", "then", "stop.")
    assert swapped(words, 2, 1, ("pin",)) == ("Pull", "the", "pin,", "then", "stop.")
    assert swapped(words, 0, 1, ("push",)) == ("Push", "the", "bin,", "then", "stop.")
    assert swapped(words, 1, 1, ()) == ("Pull", "bin,", "then", "stop.")


def test_likeness_follows_the_consonants() -> None:
    """Recognisers keep the consonants of what they garble and guess its vowels."""
    assert likeness(["seal"], ["sill"]) == 1.0
    assert likeness(["buy", "bus"], ["bypass"]) > likeness(["kitchen"], ["bypass"])
