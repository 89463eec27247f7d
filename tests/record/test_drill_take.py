"""A drill's take: written as it happens, complete in itself, and refused where it was changed."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from rehearse.book.beside import DRILLS
from rehearse.drill.files.reader import read_drill
from rehearse.drill.model import Drill
from rehearse.drill.running.plan import plan
from rehearse.errors import StoreError
from rehearse.events import (
    CueEnded,
    CueHeard,
    CueStarted,
    Ended,
    Event,
    Heard,
    Listening,
    Overflow,
    StageOver,
    Word,
)
from rehearse.measured import Measured
from rehearse.record.cue_times import latency, placed
from rehearse.record.drill_take import DrillTake, begin, is_drill_take
from rehearse.record.retention import KEEP_DAYS, forget_sounds
from rehearse.record.take import Take
from rehearse.safety import NOTICE

BOOK = Path(__file__).parents[2] / "procedures" / "tarn-240"
SHIPPED = sorted((BOOK / DRILLS).glob("*.yaml"))
STARTED = datetime(2026, 11, 1, 9, 0, 0, tzinfo=UTC)
CALM = Measured(-34.5, 0.5)
HAPPENED: tuple[Event, ...] = (
    Listening(0.0),
    CueStarted(4.2, "signal", "evacuation signal"),
    CueEnded(6.2, "signal"),
    Heard(7.0, 8.1, "Belts off! Bags down!", (Word("Belts", 7.0, 7.3),), level=-20.0),
    Overflow(9.0, 0.25),
    StageOver(12.0, "signal", "answered"),
    Ended(15.0, "finished"),
)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A copy of the Tarn 240's folder, to be changed."""
    return Path(shutil.copytree(BOOK, tmp_path / "tarn-240"))


@pytest.fixture
def drill(book: Path) -> Drill:
    """A drill whose words come from a procedure and whose folder has words of the operator."""
    return read_drill(book / DRILLS / "signalled-evacuation.yaml", "C4")


def kept(folder: Path, drill: Drill, events: tuple[Event, ...] = HAPPENED) -> DrillTake:
    """A take of the drill with these events and a second of sound."""
    with begin(
        folder, drill, seed=7, started=STARTED, headset=True, calm=CALM, person="T-4", device="mic"
    ) as writer:
        for event in events:
            writer.write(event)
        writer.write_sound(np.linspace(-0.5, 0.5, 16000, dtype=np.float32))
    return DrillTake.open(writer.folder)


def test_all_that_was_written_comes_back(tmp_path: Path, drill: Drill) -> None:
    """A result follows from the take alone: an event or a sample that is lost would change it."""
    take = kept(tmp_path / "takes", drill)
    assert take.events == HAPPENED
    assert (take.unknown, take.torn) == (0, False)
    assert take.run.drill == drill
    assert take.run.drill.lexicon == drill.lexicon
    assert (take.run.seed, take.run.headset, take.run.calm) == (7, True, CALM)
    assert (take.header.person, take.header.device, take.header.position) == ("T-4", "mic", "C4")
    assert take.drill.position == "C4"
    assert take.header.started == STARTED
    sound = np.concatenate(list(take.sound()))
    assert len(sound) == 16000
    assert sound[-1] == pytest.approx(0.5, abs=1e-4)


def test_the_log_says_what_it_is_not(tmp_path: Path, drill: Drill) -> None:
    """The safety notice stands in every record that is kept."""
    take = kept(tmp_path / "takes", drill)
    first = json.loads((take.folder / "drill.jsonl").read_text().splitlines()[0])
    assert first["notice"] == NOTICE
    assert first["seed"] == 7


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_drill_written_out_reads_back_alike(path: Path, tmp_path: Path) -> None:
    """Words taken from procedures stand in the take; its plan by the same seed is the same."""
    drill = read_drill(path)
    take = DrillTake.open(begin(tmp_path, drill, seed=11, started=STARTED).folder)
    assert take.drill == drill
    assert plan(take.drill, 11) == plan(drill, 11)
    assert "step:" not in (take.folder / "drill.yaml").read_text()


def test_a_take_outlives_its_procedure(tmp_path: Path, book: Path, drill: Drill) -> None:
    """Whoever revises or deletes a procedure does not change what an old drill was worth."""
    take = kept(tmp_path / "takes", drill)
    shutil.rmtree(book)
    assert DrillTake.open(take.folder).run.drill == drill


def test_a_cue_that_was_heard_is_placed_where_it_was_heard(tmp_path: Path, drill: Drill) -> None:
    """Reaction times are counted from there; what the devices state is the second best."""
    assert kept(tmp_path / "takes", drill).run.latency == Measured(0.0, 0.2)
    run = kept(
        tmp_path / "takes", drill, (*HAPPENED, CueHeard(4.41, 6.41, "signal", 4.2, 0.01))
    ).run
    assert run.latency == Measured(0.21, 0.01)
    assert run.events[:7] == HAPPENED


TWO_CUES: tuple[Event, ...] = (
    CueStarted(4.0, "signal", "a horn"),
    CueEnded(6.0, "signal"),
    CueStarted(10.0, "filling", "gas"),
    CueEnded(12.0, "filling"),
)


def test_each_cue_has_its_own_place() -> None:
    """A device that started one cue late does not make the reaction to the other one wrong."""
    events = (
        *TWO_CUES,
        CueHeard(4.12, 6.12, "signal", 4.0, 0.01),
        CueHeard(10.4, 12.5, "filling", 10.0, 0.01),
    )
    late = latency(events, Measured(0.18, 0.1))
    assert late.value is not None
    starts = [e.time + late.value for e in placed(events, late) if isinstance(e, CueStarted)]
    ends = [e.time + late.value for e in placed(events, late) if isinstance(e, CueEnded)]
    assert starts == pytest.approx([4.12, 10.4])
    assert ends == pytest.approx([6.12, 12.5])
    assert late.error == pytest.approx(0.01)


def test_a_cue_that_was_not_heard_has_the_error_of_the_others() -> None:
    """A chime cannot be found by its shape: its time is no surer than the device is steady."""
    events = (*TWO_CUES, CueHeard(4.12, 6.12, "signal", 4.0, 0.01))
    assert latency(events, Measured(0.18, 0.1)) == Measured(0.12, 0.01)
    events = (
        *TWO_CUES,
        CueStarted(20.0, "chime", "a chime"),
        CueEnded(21.5, "chime", late=0.3),
        CueHeard(4.12, 6.12, "signal", 4.0, 0.01),
        CueHeard(10.16, 12.16, "filling", 10.0, 0.01),
    )
    late = latency(events, Measured(0.18, 0.1))
    assert late == Measured(0.14, 0.33)


def test_a_device_that_faltered_makes_times_less_sure() -> None:
    """Through a headset nobody knows whether it faltered before or after the cue began."""
    events = (*TWO_CUES[:3], CueEnded(12.5, "filling", late=0.5))
    assert latency(events, Measured(0.18, 0.1)) == Measured(0.18, 0.6)
    assert placed(events, Measured(0.18, 0.6)) == events


def test_a_changed_drill_is_refused(tmp_path: Path, drill: Drill) -> None:
    """A take scored against other words would credit what was not asked."""
    take = kept(tmp_path / "takes", drill)
    file = take.folder / "drill.yaml"
    file.write_text(file.read_text().replace("within: 3.0", "within: 9.0"))
    with pytest.raises(StoreError, match="restore it from a copy"):
        _ = DrillTake.open(take.folder).drill


def test_a_killed_writer_loses_at_most_the_line_in_progress(tmp_path: Path, drill: Drill) -> None:
    """A log that breaks off in the middle of a line is read up to it."""
    take = kept(tmp_path / "takes", drill)
    file = take.folder / "drill.jsonl"
    file.write_bytes(file.read_bytes()[:-20])
    again = DrillTake.open(take.folder)
    assert again.torn
    assert again.events == HAPPENED[:-1]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda row: {**row, "format": 99, "tool": "9.9"}, "rehearse 9.9, which is newer"),
        (lambda row: {key: row[key] for key in row if key != "seed"}, "not complete"),
        (lambda row: {**row, "calm": {"level": 3}}, "not complete"),
        (lambda _row: {"event": "Listening", "time": 0.0}, "header is missing"),
    ],
)
def test_a_header_that_cannot_be_used_is_told(
    tmp_path: Path, drill: Drill, change: object, told: str
) -> None:
    """One line with the file and what is wrong, never a guess."""
    take = kept(tmp_path / "takes", drill)
    file = take.folder / "drill.jsonl"
    first, *rest = file.read_text().splitlines()
    row = change(json.loads(first))  # type: ignore[operator]
    file.write_text("\n".join([json.dumps(row), *rest]) + "\n")
    with pytest.raises(StoreError, match=told):
        DrillTake.open(take.folder)


def test_a_practice_take_is_no_drills(tmp_path: Path, drill: Drill) -> None:
    """Each kind is told from the other by its folder, so that nothing is listed as the wrong."""
    take = kept(tmp_path / "takes", drill)
    assert is_drill_take(take.folder)
    assert not is_drill_take(tmp_path)
    with pytest.raises(StoreError):
        Take.open(take.folder)


def test_the_sound_of_a_drill_is_forgotten_in_time(tmp_path: Path, drill: Drill) -> None:
    """A voice is kept for the stated time, of drills as of practices; the log stays."""
    take = kept(tmp_path / "takes", drill)
    soon = STARTED + timedelta(days=KEEP_DAYS - 1)
    assert forget_sounds(tmp_path / "takes", soon) == []
    late = STARTED + timedelta(days=KEEP_DAYS + 1)
    assert forget_sounds(tmp_path / "takes", late) == [take.folder / "sound.flac"]
    again = DrillTake.open(take.folder)
    assert again.sound_path is None
    assert list(again.sound()) == []
    assert again.events == HAPPENED


def test_a_folder_that_cannot_be_written_leaves_nothing(tmp_path: Path, drill: Drill) -> None:
    """One line with the mend, and no half take that would be found later."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with pytest.raises(StoreError, match="in the way"):
        begin(blocked, drill, seed=1, started=STARTED)
