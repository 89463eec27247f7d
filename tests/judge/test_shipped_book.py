"""Shipped procedures said to the shipped judges: as written they pass, with a gap they do not."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.book.shelf import SHIPPED
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.english import English

FEW = ("galley-fire", "evacuation-signal")  # one with an order among actions, one with facts


@pytest.fixture(scope="module", params=FEW)
def procedure(request: pytest.FixtureRequest) -> Procedure:
    """One of the shipped procedures."""
    return read(SHIPPED / "tarn-240" / f"{request.param}.yaml")


@pytest.fixture
def heard(
    procedure: Procedure, real: Readers, english: English, voice: Callable[..., list[Heard]]
) -> Callable[[Sequence[str]], Result]:
    """What becomes of the procedure when these texts are said."""

    def result(texts: Sequence[str]) -> Result:
        assessor = Assessor(procedure, real, english)
        for each in voice(texts):
            assessor.add(each)
        return assessor.result()

    return result


def test_the_manuals_wording_passes(
    procedure: Procedure, heard: Callable[[Sequence[str]], Result]
) -> None:
    """A correct speaker would be made to repeat a step."""
    result = heard([step.say for step in procedure.steps])
    assert result.passed
    assert {row.verdict for row in result.steps} == {Verdict.SAID}


def test_a_critical_step_left_out_is_not_credited(
    procedure: Procedure, heard: Callable[[Sequence[str]], Result]
) -> None:
    """A critical step would be credited to somebody who did not say it."""
    for gap in procedure.steps:
        if not gap.critical:
            continue
        result = heard([step.say for step in procedure.steps if step.id != gap.id])
        assert not result.passed
        assert result.step(gap.id).verdict not in {Verdict.SAID, Verdict.OUT_OF_ORDER}
