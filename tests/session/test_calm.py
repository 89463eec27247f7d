from __future__ import annotations

import stat
from collections.abc import Generator
from pathlib import Path

import numpy as np
import pytest

from rehearse.drill.baseline import Calm
from rehearse.errors import StoreError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk
from rehearse.measured import Measured
from rehearse.session.calm import READING, keep, kept, measure

CALM = Calm(Measured(-31.5, 0.6), Measured(118.0, 2.0), -62.0, 24.0, 0.0)
LOUDER = Calm(Measured(-20.0, 0.4), Measured(None, 0.0, "hoarse"), -50.0, 22.0, 0.00001)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where baselines are kept, in a folder that does not exist yet."""
    return tmp_path / "rehearse" / "calm.json"


def test_each_person_has_a_baseline_on_each_device(file: Path) -> None:
    """One person's voice, or another microphone, would set the level of somebody else."""
    keep(CALM, "4711", "headset", file)
    keep(LOUDER, "4711", "laptop", file)
    keep(LOUDER, "", "headset", file)
    assert kept("4711", "headset", file) == CALM
    assert kept("4711", "laptop", file) == LOUDER
    assert kept("", "headset", file) == LOUDER
    assert kept("", "laptop", file) is None


def test_a_new_baseline_takes_the_place_of_the_old(file: Path) -> None:
    """Somebody who reads again would still be measured by their old voice."""
    keep(CALM, "", "headset", file)
    keep(LOUDER, "", "headset", file)
    assert kept("", "headset", file) == LOUDER


def test_before_the_first_reading_there_is_none(file: Path) -> None:
    """The first drill of a new user would end in an error."""
    assert kept("", "headset", file) is None


def test_only_its_owner_may_read_it(file: Path) -> None:
    """How somebody's voice is would lie open to everybody on the computer."""
    keep(CALM, "", "headset", file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [path.name for path in file.parent.iterdir()] == [file.name]


@pytest.mark.parametrize(
    "content",
    ["{", "{}", '["a"]', '[{"person": "", "device": "headset"}]', '[{"person": ""}]'],
)
def test_a_damaged_file_is_named_with_its_mend(file: Path, content: str) -> None:
    """A traceback would be all that somebody with a damaged file gets."""
    file.parent.mkdir()
    file.write_text(content, "utf-8")
    with pytest.raises(StoreError, match=r"calm\.json.*delete it and read in again") as found:
        kept("", "headset", file)
    assert "\n" not in str(found.value)


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    """A reading would be lost without a word."""
    (tmp_path / "rehearse").write_text("a file in the way", "utf-8")
    with pytest.raises(StoreError, match="rehearse"):
        keep(CALM, "", "headset", tmp_path / "rehearse" / "calm.json")


class _Endless:
    """A microphone that delivers noise for ever; closed says whether it was released."""

    name = "endless"
    closed = False

    def chunks(self) -> Generator[Chunk, None, None]:
        noise: Sound = np.random.default_rng(1).normal(0, 0.001, RATE // 2).astype(np.float32)
        try:
            for at in range(1000):
                yield Chunk(noise, at / 2)
        finally:
            self.closed = True


class _Nobody:
    """Hears no voice in anything; counts the samples it was shown."""

    def __init__(self) -> None:
        self.shown = 0

    def probability(self, window: Sound) -> float:
        self.shown += window.size
        return 0.0

    def reset(self) -> None:
        """Nothing to forget."""


def test_reading_in_ends_when_the_time_is_over() -> None:
    """The microphone would stay open, or a reading be cut short."""
    source, voice, left = _Endless(), _Nobody(), list[float]()
    found = measure(source, voice, left.append, seconds=3.2)
    assert source.closed
    assert voice.shown == pytest.approx(3.2 * RATE, abs=512)
    assert left[0] == pytest.approx(2.7)
    assert left[-1] == 0.0
    assert found.level.value is None


def test_the_reading_text_outlasts_half_a_minute() -> None:
    """A quick reader would run out of text before the time is over."""
    assert len(READING.split()) / (190 / 60) > 30  # words at a quick reader's pace
