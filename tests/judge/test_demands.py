"""What an author corrects in a step must change the verdict, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from rehearse.book.model import Demands, Procedure, Step
from rehearse.judge.facts import facts
from rehearse.judge.facts_page import facts_page
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English

Says = Callable[..., Result]

CART = Step("cart", "Check that the aft galley cart is stowed with both brakes red", critical=True)
ALSO = replace(CART, also=("Cart stowed with both brakes red",))


@pytest.fixture
def verdict(says: Says, arm: Procedure) -> Callable[[Step, str], Verdict]:
    """The verdict on one step that is all there is in its procedure."""

    def given(step: Step, said: str) -> Verdict:
        return says(replace(arm, steps=(step,)), said).step(step.id).verdict

    return given


Given = Callable[[Step, str], Verdict]


def demanding(step: Step, **demands: object) -> Step:
    """The step with these corrections."""
    return replace(step, demands=Demands(**demands))  # type: ignore[arg-type]


def test_a_named_phrase_must_be_said(verdict: Given) -> None:
    """What passes without the phrase is incomplete once the author wants it named."""
    said = "check the aft cart is stowed and both brakes are red"
    assert verdict(CART, said) is Verdict.SAID
    named = demanding(CART, named=("galley",))
    assert verdict(named, said) is Verdict.INCOMPLETE
    full = "check the aft galley cart is stowed and both brakes are red"
    assert verdict(named, full) is Verdict.SAID


def test_the_missing_phrase_is_named_to_the_trainee(says: Says, arm: Procedure) -> None:
    """The reason says which words were left out."""
    step = demanding(CART, named=("galley cart",))
    procedure = replace(arm, steps=(step,))
    result = says(procedure, "check the aft cart is stowed and both brakes are red").step("cart")
    assert result.missing == "galley cart"
    assert "galley cart" in result.why


def test_an_accepted_wording_without_the_phrase_still_counts_as_it_stands(verdict: Given) -> None:
    """Said word for word it is credited; said loosely it is not."""
    step = demanding(ALSO, named=("galley",))
    assert verdict(step, "cart stowed with both brakes red") is Verdict.SAID
    loose = "so the aft cart is stowed and checked with both brakes red"
    assert verdict(step, loose) is not Verdict.SAID


def test_a_named_slot_may_be_said_in_other_words_of_its_set(verdict: Given) -> None:
    """Naming is by meaning: "in the direction of" names "towards"."""
    say = "Turn the mode drum a quarter turn towards the white hinge to armed"
    named = demanding(Step("drum", say), named=("towards the white hinge",))
    other = "turn the mode drum a quarter turn in the direction of the white hinge to armed"
    assert verdict(named, other) is Verdict.SAID
    assert verdict(named, other.replace("in the direction of", "by")) is Verdict.INCOMPLETE


def test_a_spare_phrase_may_be_left_out(verdict: Given) -> None:
    """The colour is demanded until its author lets it go; said otherwise it is still wrong."""
    step = Step("band", "Check that the pane shows the amber band", critical=True)
    spare = demanding(step, spare=("amber",))
    assert verdict(step, "check that the pane shows the band") is Verdict.INCOMPLETE
    assert verdict(spare, "check that the pane shows the band") is Verdict.SAID
    assert verdict(spare, "check that the pane shows the amber band") is Verdict.SAID
    assert verdict(spare, "check that the pane shows the white band") is Verdict.WRONG


def test_an_authors_contrast_makes_the_other_word_wrong(verdict: Given) -> None:
    """What no set of the language tells apart is told apart where the author says so."""
    said = "check that the aft galley cart is stowed with both latches red"
    assert verdict(CART, said) is not Verdict.WRONG
    step = demanding(CART, contrasts=(("brakes", ("latches",)),))
    assert verdict(step, said) is Verdict.WRONG
    right = "check that the aft galley cart is stowed with both brakes red"
    assert verdict(step, right) is Verdict.SAID


def test_facts_are_what_the_judge_works_from(arm: Procedure, english: English) -> None:
    """The drum's sentence gives its state, number and direction, each with its opposites."""
    drum = facts(arm, english)[1]
    assert drum.states == ("armed",)
    assert drum.numbers == ("quarter turn",)
    assert drum.directions == ("towards the hinge",)
    assert drum.parts.actions == ("Turn",)
    assert drum.named == ("armed",)
    assert "disarmed" in dict(drum.against)["armed"]
    assert dict(drum.heard)["towards"] == ("away from",)


@pytest.mark.parametrize(
    ("say", "field", "expected"),
    [
        ("C1 orders the door closed", "actor", "C1"),
        ("If the slide does not fill, pull the toggle", "conditions",
         ("If the slide does not fill",)),
        ("Let go of the strap before you pull the door in", "orders",
         ("before you pull the door in",)),
        ("Hold the grip on the frame", "places", ("on the frame",)),
        ("Open the flap and pull the spring pin", "actions", ("Open", "pull")),
        ("Open the flap and pull the spring pin", "objects", ("the flap", "the spring pin")),
        ("Check that the sill and the seal are clear", "objects", ("the sill and the seal",)),
        ("Do not open the door", "denied", True),
        ("Do not open the door", "actions", ("open",)),
    ],
)  # fmt: skip
def test_a_sentence_is_taken_apart(
    say: str, field: str, expected: object, arm: Procedure, english: English
) -> None:
    """Who, when, where, what: each part is found in the words that carry it."""
    (found,) = facts(replace(arm, steps=(Step("x", say),)), english)
    assert getattr(found.parts, field) == expected


def test_the_page_shows_demands_and_corrections(arm: Procedure, english: English) -> None:
    """An author reads what is demanded, and sees the corrections in it, in 80 columns."""
    step = demanding(
        CART, named=("galley cart",), spare=("aft",), contrasts=(("brakes", ("latches",)),)
    )
    lines = facts_page(replace(arm, steps=(*arm.steps, step)), english)
    text = " ".join(" ".join(lines).split())
    assert "must name red, galley cart" in text
    assert "may go aft: may be left out" in text
    assert "wrong latches for brakes" in text
    assert "by sound armed, not disarmed" in text
    assert "word by word" in text
    assert max(map(len, lines)) <= 80
