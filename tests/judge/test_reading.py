"""The judge with the shipped step judges, on sentences that leave no doubt.

They show that the parts work together; how often the judge errs is measured on the corpus.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from rehearse.book.shelf import find
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English

Says = Callable[..., Result]


@pytest.fixture
def recite(says: Says, real: Readers) -> Callable[..., Result]:
    """Judges utterances against a shipped procedure with the shipped step judges."""

    def judged(procedure: str, *texts: str) -> Result:
        return says(find(procedure), *texts, readers=real)

    return judged


def verdicts(result: Result) -> list[str]:
    """The verdicts in the file's order."""
    return [step.verdict.value for step in result.steps]


def test_a_take_in_other_words(recite: Callable[..., Result]) -> None:
    """A complete take in the speaker's own words passes, each step said."""
    result = recite(
        "arm-door-2l",
        "i lift the flap and pull the spring pin out",
        "then the mode drum goes a quarter turn towards the hinge to armed",
        "the pin snaps home and i close the flap",
        "both witness panes amber and the sill lamp is lit",
        "door two left armed and cross checked",
    )
    assert verdicts(result) == ["said"] * 5
    assert result.passed


def test_a_take_with_three_mistakes(recite: Callable[..., Result]) -> None:
    """An omission, a wrong state and a wrong side are found, those and no others."""
    result = recite(
        "arm-door-2l",
        "i lift the flap and pull the spring pin out",
        "then the mode drum goes a quarter turn towards the hinge to disarmed",
        "both witness panes amber and the sill lamp is lit",
        "door two right armed and cross checked",
    )
    assert verdicts(result) == ["said", "wrong", "not_said", "said", "wrong"]
    assert not result.passed
    assert [extra.dangerous for extra in result.extras] == [True]


@pytest.mark.parametrize(
    "text",
    [
        "i turn the mode drum a quarter turn towards the hinge to disarmed",
        "i turn the mode drum a quarter turn away from the hinge to armed",
        "i turn the mode drum half a turn towards the hinge to armed",
        "do not turn the mode drum a quarter turn towards the hinge to armed",
        "i turn the mode drum",
        "the drum is looked at",
        "what does the drum do when it is armed",
        "it was a long flight and everybody was tired",
    ],
)
def test_a_critical_step_is_not_credited(recite: Callable[..., Result], text: str) -> None:
    """Opposite, other direction, other amount, denial, fragment, question, chatter: no credit."""
    assert recite("arm-door-2l", text).step("drum").verdict is not Verdict.SAID


@pytest.mark.parametrize(
    "text",
    [
        "turn the mode drum a quarter turn towards the hinge to disarmed sorry to armed",
        "turn the mode drum away from the hinge no a quarter turn towards the hinge to armed",
    ],
)
def test_a_slip_mended_at_once(recite: Callable[..., Result], text: str) -> None:
    """The last version counts with the real readers too."""
    assert recite("arm-door-2l", text).step("drum").verdict is Verdict.SAID


def test_removing_a_step_removes_its_credit(
    recite: Callable[..., Result], perfect: tuple[str, ...]
) -> None:
    """Leaving out any one utterance of a perfect take loses that step and no other."""
    for at in range(len(perfect)):
        found = verdicts(recite("arm-door-2l", *perfect[:at], *perfect[at + 1 :]))
        assert [verdict == "said" for verdict in found] == [i != at for i in range(len(perfect))]


def test_live_and_afterwards_agree(
    recite: Callable[..., Result],
    voice: Callable[[Sequence[str]], list[Heard]],
    real: Readers,
    english: English,
    perfect: tuple[str, ...],
) -> None:
    """Asking after every utterance ends in the very numbers of asking once, at the end."""
    texts = [*perfect[:2], "no sorry", "a quarter turn it is", *perfect[2:]]
    live = Assessor(find("arm-door-2l"), real, english)
    for heard in voice(texts):
        live.add(heard)
        live.result()
    assert live.result() == recite("arm-door-2l", *texts)


def test_commands_need_no_reader(recite: Callable[..., Result]) -> None:
    """An evacuation shouted word by word is heard, and a command in other words is not."""
    result = recite(
        "evacuation-commands",
        "get low hold your legs get low hold your legs",
        "sit tight wait for us",
        "unfasten your seatbelts leave everything and come here",
    )
    assert result.step("brace").verdict is Verdict.SAID
    assert result.step("wait").verdict is Verdict.SAID
    assert result.step("belts").verdict is not Verdict.SAID
