"""The past drills of one person, read from a folder of takes."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from rehearse.drill.files.reader import read_drill
from rehearse.drill.model import Drill
from rehearse.drill.shown.document import document
from rehearse.events import CueEnded, CueStarted, Ended, Heard, Listening, StageOver
from rehearse.record.drill_take import DrillTake, begin
from rehearse.session.drill_past import past
from rehearse.session.drill_score import RESULT, keep_result, scored

DRILLS = Path(__file__).parents[2] / "procedures" / "tarn-240" / "drills"
STARTED = datetime(2026, 11, 1, 9, tzinfo=UTC)


@pytest.fixture(scope="module")
def drill() -> Drill:
    """A drill whose answers are all commands, so that no model is needed."""
    return read_drill(DRILLS / "signalled-evacuation.yaml", "C4")


def kept(folder: Path, drill: Drill, day: int, person: str = "T-4") -> DrillTake:
    """A run in which the first cue was answered and then the drill was stopped."""
    started = STARTED + timedelta(days=day)
    with begin(folder, drill, seed=day, started=started, person=person) as writer:
        for event in (
            Listening(0.0),
            CueStarted(1.0, "signal", "evacuation signal"),
            CueEnded(4.0, "signal"),
            Heard(5.0, 6.5, "belts off bags down this way out"),
            StageOver(7.0, "signal", "unanswered"),
            Ended(8.0, "stopped"),
        ):
            writer.write(event)
        writer.write_sound(np.zeros(8 * 16000, np.float32))
    return DrillTake.open(writer.folder)


def test_runs_of_one_person_come_back_in_order(tmp_path: Path, drill: Drill) -> None:
    """Another's runs, and folders that are no drill's takes, are not among them."""
    for day, person in ((2, "T-4"), (0, "T-4"), (1, "T-5")):
        take = kept(tmp_path, drill, day, person)
        keep_result(take, scored(take))
    (tmp_path / "2026-11-01-something-else").mkdir()
    found = past(tmp_path, "T-4")
    assert [run.started for run in found.runs] == [STARTED, STARTED + timedelta(days=2)]
    assert [run.result.seed for run in found.runs] == [0, 2]
    assert not found.left_out
    assert past(tmp_path, "T-4", drill.id).runs == found.runs
    assert past(tmp_path, "T-4", "another").runs == ()
    assert past(tmp_path, "").runs == ()


def test_the_kept_result_counts_when_the_sound_is_gone(tmp_path: Path, drill: Drill) -> None:
    """Sound is deleted after a while; what was measured from it stays."""
    take = kept(tmp_path, drill, 0)
    result = scored(take)
    keep_result(take, result)
    assert take.sound_path is not None
    take.sound_path.unlink()
    (run,) = past(tmp_path, "T-4").runs
    assert document(run.result) == document(result)


def test_a_run_that_was_never_scored_is_scored_now(tmp_path: Path, drill: Drill) -> None:
    """A tool that was killed after the last shout loses nobody's run."""
    take = kept(tmp_path, drill, 0)
    (run,) = past(tmp_path, "T-4").runs
    assert document(run.result) == document(scored(take))
    assert json.loads((take.folder / RESULT).read_text("utf-8")) == document(run.result)


def test_what_cannot_be_read_is_told_and_leaves_the_others(tmp_path: Path, drill: Drill) -> None:
    """A spoilt result, a spoilt log, and a run without result and sound: a line each."""
    good, spoilt, silent, torn = (kept(tmp_path, drill, day) for day in range(4))
    keep_result(good, scored(good))
    (spoilt.folder / RESULT).write_text("{", encoding="utf-8")
    assert silent.sound_path is not None
    silent.sound_path.unlink()
    (torn.folder / "drill.jsonl").write_text("{}\n", encoding="utf-8")
    found = past(tmp_path, "T-4")
    assert [run.started for run in found.runs] == [STARTED]
    assert len(found.left_out) == 3
    for line, take in zip(found.left_out, (spoilt, silent, torn), strict=True):
        assert str(take.folder) in line
        assert "\n" not in line


def test_no_takes_yet(tmp_path: Path) -> None:
    """Nobody has practised here: no runs, no error."""
    assert past(tmp_path / "none") == past(tmp_path)
