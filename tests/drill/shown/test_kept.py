"""A result that was kept as JSON and is read back."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from rehearse.drill.model import Outcome
from rehearse.drill.shown.document import FORMAT, document
from rehearse.drill.shown.kept import result_of
from rehearse.drill.shown.picture import picture
from rehearse.drill.values import DrillResult, Kind
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured
from tests.drill.shown.conftest import with_answer


@pytest.fixture
def mixed(good: DrillResult) -> DrillResult:
    """A result in which every field holds something else than its default."""
    void = with_answer(
        good,
        0,
        verdict=Verdict.INCOMPLETE,
        critical=False,
        reaction=Measured(None, 0.0, "sound was lost"),
        faults=("One.", "Two."),
    )
    stages = (
        replace(void.stages[0], cue=None, cue_start=None, outcome=None, faults=("Three.",)),
        replace(void.stages[1], outcome=Outcome.WRONG),
    )
    shouts = (
        replace(void.shouts[0], kind=Kind.STALE, why="Why.", clipped=0.25, answer=""),
        *void.shouts[1:],
    )
    return replace(
        void,
        stages=stages,
        shouts=shouts,
        lost=(Overflow(7.0, 0.25),),
        clipped=0.125,
        why_ended="device",
    )


def test_all_of_a_result_comes_back(good: DrillResult, mixed: DrillResult) -> None:
    """What is not read back would be missing from every trend and picture made later."""
    for result in (good, mixed):
        row = json.loads(json.dumps(document(result)))
        assert result_of(row) == result
        assert document(result_of(row)) == row
        assert picture(result_of(row)) == picture(result)


def test_keys_of_a_newer_writer_are_passed_over(good: DrillResult) -> None:
    """An added key takes nobody's results away; a changed format is refused by name."""
    row = {**document(good), "added": 1}
    assert result_of(row) == good
    with pytest.raises(ValueError, match="newer"):
        result_of({**row, "format": FORMAT + 1})


@pytest.mark.parametrize("key", ["format", "drill", "stages", "shouts", "voice", "why_ended"])
def test_half_a_result_is_refused(good: DrillResult, key: str) -> None:
    """One error that the caller can tell of, whatever is missing or of another kind."""
    row = document(good)
    with pytest.raises(ValueError, match=r"."):
        result_of({name: value for name, value in row.items() if name != key})
    for other in ([1], {"a": None}, None, "x"):
        if key in {"stages", "shouts", "voice"}:
            with pytest.raises(ValueError, match=r"."):
                result_of({**row, key: other})
