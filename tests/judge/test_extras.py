"""What is said beyond the steps, with readers that follow a rule."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rehearse.book.model import Procedure
from rehearse.judge.verdict import Result

Says = Callable[..., Result]


def test_nothing_beyond_a_perfect_take(
    says: Says, arm: Procedure, perfect: tuple[str, ...]
) -> None:
    """What was said as a step is no extra, in one breath or in many."""
    assert says(arm, *perfect).extras == ()


@pytest.mark.parametrize("text", ["um", "okay well", "thank you", "let me see", "good morning"])
def test_a_few_words_are_not_worth_a_mention(says: Says, arm: Procedure, text: str) -> None:
    """Fillers and greetings are no extra."""
    assert says(arm, text).extras == ()


def test_talk_is_an_extra_but_not_dangerous(says: Says, arm: Procedure) -> None:
    """A sentence that belongs to no step is reported with its time and does not alarm."""
    (extra,) = says(arm, "good morning", "the trolleys are locked behind the curtain").extras
    assert extra.heard == "the trolleys are locked behind the curtain"
    assert not extra.dangerous
    assert extra.start is not None
    assert extra.start > 0


def test_the_opposite_of_a_critical_step_is_dangerous(says: Says, arm: Procedure) -> None:
    """Claiming the opposite is reported once, names the words and the step."""
    text = "turn the mode drum a quarter turn towards the hinge to disarmed"
    (extra,) = says(arm, text).extras
    assert extra.dangerous
    assert text in extra.why
    assert "to armed" in extra.why


def test_the_opposite_of_another_step_is_not(says: Says, arm: Procedure) -> None:
    """A wrong saying of a step that is not critical is wrong, but no danger."""
    result = says(arm, "close the flap and pull the spring pin")
    assert result.step("flap").verdict == "wrong"
    assert not any(extra.dangerous for extra in result.extras)


def test_what_the_procedure_forbids_is_dangerous(says: Says, arm: Procedure) -> None:
    """A statement that must not be accepted is reported though no step was meant."""
    result = says(arm, "turn the drum to disarmed")
    assert [extra.dangerous for extra in result.extras] == [True]
    assert result.step("drum").verdict != "said"


def test_ruling_it_out_is_no_danger(says: Says, arm: Procedure) -> None:
    """Naming what one does not do is no claim of having done it."""
    result = says(arm, "turn the mode drum a quarter turn towards the hinge to armed not disarmed")
    assert not any(extra.dangerous for extra in result.extras)
    assert result.step("drum").verdict == "said"


def test_extras_come_in_the_order_of_the_take(says: Says, arm: Procedure) -> None:
    """Dangerous or not, what was said first is told first."""
    extras = says(
        arm,
        "the trolleys are locked behind the curtain",
        "turn the mode drum a quarter turn towards the hinge to disarmed",
        "the captain called about the weather ahead",
    ).extras
    assert [extra.dangerous for extra in extras] == [False, True, False]
