"""A critical step that is denied, or only asked about, is never credited."""

from pathlib import Path

import pytest

from rehearse.book import shelf
from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Verdict
from rehearse.language.english import English

BOOK = shelf.all_procedures([Path(__file__).parents[2] / "procedures"])
AFFIRMED = [
    (procedure, step)
    for procedure in BOOK
    for step in procedure.steps
    if step.critical
    and not step.command
    and not step.say.lower().startswith(("do not", "never", "if", "when", "both"))
    and " not " not in step.say
]


def _verdict(procedure: Procedure, step: Step, text: str, readers: Readers) -> Verdict:
    assessor = Assessor(procedure, readers, English())
    assessor.add(Heard(0.0, 5.0, text))
    return assessor.result().step(step.id).verdict


@pytest.mark.parametrize("denial", ["never", "i never", "do not", "don't", "i forgot to", "do i"])
def test_a_denied_step_loses_its_credit(denial: str, real: Readers) -> None:
    """The canonical sentence of every affirmed critical step, denied, is not said."""
    credited = [
        step.say
        for procedure, step in AFFIRMED
        if _verdict(procedure, step, f"{denial} {step.say[0].lower()}{step.say[1:]}", real)
        is Verdict.SAID
    ]
    assert len(AFFIRMED) > 30
    assert credited == []


def test_the_same_steps_are_said_without_the_denial(real: Readers) -> None:
    """What the denials take away is there to be taken."""
    for procedure, step in AFFIRMED:
        assert _verdict(procedure, step, step.say, real) is Verdict.SAID
