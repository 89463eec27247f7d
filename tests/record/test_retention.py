"""The sound of old takes is deleted in time, and nothing else is."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from rehearse.book import reader
from rehearse.events import Heard
from rehearse.record.retention import KEEP_DAYS, forget_sounds
from rehearse.record.take import Take, TakeWriter

PROCEDURE = Path(__file__).parents[2] / "procedures" / "tarn-240" / "arm-door-2l.yaml"
NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def _take(folder: Path, age: timedelta) -> Path:
    with TakeWriter.create(
        folder, reader.read(PROCEDURE), started=NOW - age, help_level="steady", source="microphone"
    ) as writer:
        writer.write_sound(np.zeros(16000, np.float32))
        writer.write(Heard(0.0, 0.5, "open the flap"))
    return writer.folder


def test_old_sound_goes_and_the_log_stays(tmp_path: Path) -> None:
    """A take past its time keeps its events and loses its voice."""
    old = _take(tmp_path, timedelta(days=KEEP_DAYS, seconds=1))
    assert forget_sounds(tmp_path, NOW) == [old / "sound.flac"]
    take = Take.open(old)
    assert take.sound_path is None
    assert [event.text for event in take.events if isinstance(event, Heard)] == ["open the flap"]


def test_younger_sound_stays(tmp_path: Path) -> None:
    """A take within its time is left as it is."""
    young = _take(tmp_path, timedelta(days=KEEP_DAYS))
    assert forget_sounds(tmp_path, NOW) == []
    assert Take.open(young).sound_path is not None


def test_other_folders_are_left_alone(tmp_path: Path) -> None:
    """What is not a take is not touched, and a missing folder is no fault."""
    (tmp_path / "holiday").mkdir()
    (tmp_path / "holiday" / "sound.flac").write_bytes(b"not ours")
    assert forget_sounds(tmp_path, NOW) == []
    assert (tmp_path / "holiday" / "sound.flac").exists()
    assert forget_sounds(tmp_path / "none", NOW) == []
