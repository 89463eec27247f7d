"""Where rules of words and readers disagree: doubt when both readers are sure, never credit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.book.model import Procedure, Step
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, Verdict

SAID, INCOMPLETE = (0.97, 0.01, 0.01, 0.01), (0.02, 0.9, 0.05, 0.03)
NEVER = "turn the drum to disarmed"

Row = tuple[float, float, float, float]


class Told:
    """A reader that answers as it is told, and otherwise always the same."""

    def __init__(self, otherwise: Row, answers: dict[tuple[str, str], Row] | None = None) -> None:
        self._otherwise, self._answers = otherwise, answers or {}

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        rows = [self._answers.get(pair, self._otherwise) for pair in pairs]
        return np.array(rows, np.float32).reshape(-1, 4)


SURE = Told(SAID)
UNSURE = Told((0.5, 0.3, 0.1, 0.1))


@pytest.mark.parametrize(
    ("quick", "expected"),
    [(SURE, {Verdict.UNCLEAR}), (UNSURE, {Verdict.INCOMPLETE, Verdict.WRONG})],
)
def test_a_missing_or_denying_word_is_doubt_only_against_two_sure_readers(
    arm: Procedure,
    says: Callable[..., Result],
    quick: Told,
    expected: set[Verdict],
) -> None:
    """Two sure readers turn a wrong verdict into a question back, but never into credit."""
    panes = "both witness panes show the band and the sill lamp is lit"
    drum = "i do not turn the mode drum a quarter turn towards the hinge to armed"
    readers = Readers(SURE, quick)
    assert says(arm, panes, readers=readers).step("panes").verdict in expected
    assert says(arm, drum, readers=readers).step("drum").verdict in expected


def test_a_forbidden_state_is_not_read_into_the_right_one(
    arm: Procedure, says: Callable[..., Result]
) -> None:
    """A reader that finds the forbidden wording likelier still loses to the state that was said."""
    text = "rotate the mode drum a quarter turn towards the hinge so that it stands at armed"
    careful = Told((0.95, 0.02, 0.02, 0.01), {(NEVER, text): SAID})
    assert says(arm, text, readers=Readers(careful, UNSURE)).step("drum").verdict is Verdict.SAID


def test_a_forbidden_statement_in_another_order_is_no_claim(
    arm: Procedure, says: Callable[..., Result]
) -> None:
    """Saying where the drum stood before is not called wrong, as turning it there is."""
    before = "it sits at disarmed so i turn the drum a quarter turn towards the hinge to armed"
    after = "i turn the drum a quarter turn towards the hinge from armed to disarmed"
    readers = Readers(SURE, SURE)
    assert says(arm, before, readers=readers).step("drum").verdict is not Verdict.WRONG
    assert says(arm, after, readers=readers).step("drum").verdict is Verdict.WRONG


@pytest.mark.parametrize(
    ("raw", "expected"), [(SAID, Verdict.SAID), (INCOMPLETE, Verdict.INCOMPLETE)]
)
def test_what_a_mended_saying_lacks_may_stand_in_the_words_taken_back(
    arm: Procedure, says: Callable[..., Result], raw: Row, expected: Verdict
) -> None:
    """ "Shut the flap, no, open it" names the flap, but only when the whole is read as said."""
    text = "shut the flap no open it and draw out the spring bolt"
    answers = {("Open the flap and pull the spring pin", text): raw}
    readers = Readers(Told(INCOMPLETE, answers), Told(INCOMPLETE))
    assert says(arm, text, readers=readers).step("flap").verdict is expected


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        ("push both tabs at the neck", Verdict.WRONG),
        ("no sorry i pull both tabs at the neck", Verdict.SAID),
    ],
)
def test_another_steps_words_do_not_mend_a_contradiction(
    arm: Procedure, says: Callable[..., Result], second: str, expected: Verdict
) -> None:
    """A wrong word is not credited because the right one was said of something else before."""
    steps = (
        Step("strap", "Pull the strap towards you"),
        Step("tabs", "Pull both tabs at the neck", critical=True),
    )
    first = "i pull the strap at the neck"
    reader = Told(SAID, {("Pull both tabs at the neck", first): (0.01, 0.01, 0.01, 0.97)})
    take = says(replace(arm, steps=steps), first, second, readers=Readers(reader, reader))
    assert take.step("tabs").verdict is expected


@pytest.mark.parametrize(
    ("sureness", "expected"), [(0.7, Verdict.UNCLEAR), (0.3, Verdict.NOT_SAID)]
)
def test_a_likely_saying_is_asked_about_beside_another_steps_words(
    arm: Procedure, says: Callable[..., Result], sureness: float, expected: Verdict
) -> None:
    """Who said a step in passing would hear that it was not said at all."""
    wait = Step("wait", "Wait until everything stands still", critical=True)
    move = Step("move", "The aircraft has stopped and its engines are off")
    said = "i wait with the aircraft stopped its engines off"
    doubtful: Row = (sureness, 0.05, 0.9 - sureness, 0.05)
    reader = Told(doubtful)
    take = says(replace(arm, steps=(wait, move)), said, readers=Readers(reader, reader))
    assert take.step("wait").verdict is expected


@pytest.mark.parametrize(
    ("critical", "expected"), [(True, Verdict.INCOMPLETE), (False, Verdict.SAID)]
)
def test_another_steps_whole_saying_completes_no_critical_step(
    arm: Procedure, says: Callable[..., Result], critical: bool, expected: Verdict
) -> None:
    """Half a critical step is not credited because a reader likes it better with the next one."""
    minutes = Step("minutes", "The emergency lights last for twelve minutes", critical=critical)
    strips = Step("strips", "The strips along the floor turn red beside the emergency lights")
    half = "the emergency ones last for twelve minutes"
    other: Row = (0.01, 0.01, 0.01, 0.97)
    answers = {
        (minutes.say, half): INCOMPLETE,
        (minutes.say, strips.say): other,
        (strips.say, half): other,
    }
    reader = Told(SAID, answers)
    take = says(
        replace(arm, steps=(minutes, strips)), half, strips.say, readers=Readers(reader, reader)
    )
    assert take.step("strips").verdict is Verdict.SAID
    assert take.step("minutes").verdict is expected


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("door dead turn back", Verdict.NOT_SAID),
        ("door dead turn back and somebody guards the dead door", Verdict.SAID),
    ],
)
def test_a_command_that_is_shouted_is_no_other_steps_doing(
    arm: Procedure, says: Callable[..., Result], said: str, expected: Verdict
) -> None:
    """A guard at the door that nobody named would be credited for the words "door dead"."""
    dead = Step("dead", "Door dead! Turn back!", command=True, critical=True)
    guard = Step("guard", "Somebody guards the dead door", critical=True)
    take = says(replace(arm, steps=(dead, guard)), said, readers=Readers(SURE, SURE))
    assert take.step("dead").verdict is Verdict.SAID
    assert take.step("guard").verdict is expected
