"""A pronoun is understood as the one thing that a step is about, and as nothing else."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.judge.meaning import Readers
from rehearse.judge.prepared import prepare
from rehearse.judge.pronouns import named
from rehearse.judge.speech import Span, utterances
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English

ENGLISH = English()
STEPS = {
    "door": "Check that the door is still disarmed, both panes white",
    "stop": "Wait until the aircraft has stopped on the water",
    "row": "Wait until the passengers have stopped on the ramp",
    "flap": "Close the flap",
}


@pytest.fixture(name="about")
def procedure_about(arm: Procedure) -> Procedure:
    """One step for each of `STEPS`, all critical."""
    return replace(arm, steps=tuple(Step(i, say, critical=True) for i, say in STEPS.items()))


def span(said: str) -> Span:
    """The whole of what was said."""
    (utterance,) = utterances([Heard(0.0, 5.0, said)], ENGLISH, 1.5)
    return utterance.whole


@pytest.mark.parametrize(
    ("step", "said", "read"),
    [
        (
            "door",
            "i check it's still disarmed both panes white",
            "i check the door is still disarmed both panes white",
        ),
        (
            "stop",
            "wait until we've stopped on the water",
            "wait until the aircraft has stopped on the water",
        ),
        ("door", "it's still disarmed", None),  # the panes are missing as well
        ("row", "wait until we've stopped on the ramp", None),  # the crew are no passengers
        ("flap", "i close it", None),  # anything may be closed
        ("door", "the bar it's still disarmed i check both panes white", None),  # so it is the bar
        ("door", "the door is still disarmed both panes white", None),
    ],
)
def test_what_a_pronoun_stands_for(
    about: Procedure, step: str, said: str, read: str | None
) -> None:
    """A pronoun would be taken for what the step needs while it speaks of another thing."""
    steps = {s.step.id: s for s in prepare(about, ENGLISH).steps}
    assert named(steps[step].canonical, span(said), ENGLISH) == read


class Strict:
    """A reader for which a saying without the door is incomplete."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """One row a pair, as the protocol asks."""
        rows = [
            (0.97, 0.01, 0.01, 0.01) if "door" in text else (0.03, 0.95, 0.01, 0.01)
            for _, text in pairs
        ]
        return np.array(rows, np.float32).reshape(-1, 4)


@pytest.mark.parametrize(
    ("said", "verdict"),
    [
        ("and it's still disarmed i check both panes white", Verdict.SAID),
        ("and it's still armed i check both panes white", Verdict.WRONG),
    ],
)
def test_the_readers_are_shown_what_is_meant(
    about: Procedure, says: Callable[..., Result], said: str, verdict: Verdict
) -> None:
    """Whoever says "it" for the door would be told that the door is missing."""
    readers = Readers(Strict(), Strict())
    assert says(about, said, readers=readers).step("door").verdict is verdict
