"""The latency of two devices: kept by their names, and measured only where it was heard."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Generator
from pathlib import Path

import numpy as np
import pytest

from rehearse.errors import RehearseError, SoundError, StoreError
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk
from rehearse.measured import Measured
from rehearse.session import delay, recorder
from rehearse.speak.player import resampled
from rehearse.speak.sound import Rendered
from tests.session.arriving import RoomClock

FOUND = Measured(0.214, 0.012)
BLOCK = 512


class Room:
    """A loudspeaker and a microphone that hears it so many seconds later, or not at all."""

    name = "room"

    def __init__(self, late: float | None, failing: str = "") -> None:
        self.late, self.failing = late, failing
        self.air = np.zeros(60 * RATE, np.float32)
        self.at = 0

    def chunks(self) -> Generator[Chunk, None, None]:
        """As `rehearse.hear.source.Source`, faster than the world."""
        while True:
            if self.failing:
                raise SoundError(self.failing)
            yield Chunk(self.air[self.at : self.at + BLOCK].copy(), self.at / RATE)
            self.at += BLOCK
            time.sleep(0.001)

    def play(
        self,
        sound: Rendered,
        begun: Callable[[], None],
        _cut: threading.Event,
        _ended: Callable[[], None] | None = None,
    ) -> bool:
        """As `rehearse.speak.player.Player`."""
        begun()
        begin = self.at
        if self.late is not None:
            start = begin + int(self.late * RATE)
            samples = resampled(sound, RATE)
            self.air[start : start + len(samples)] += 0.2 * samples
        until = time.monotonic() + 10
        while self.at < begin + (sound.seconds + 1) * RATE and time.monotonic() < until:
            time.sleep(0.001)
        return True


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A clock that runs with the room, and a data folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr(recorder, "SoundClock", RoomClock)
    monkeypatch.setattr(delay, "LONGEST", 0.1)


def test_the_latency_is_that_of_the_room() -> None:
    """A wireless headset is late by a quarter of a second, which reactions must not be."""
    room = Room(late=0.25)
    found = delay.measure(room, room)
    assert found.value == pytest.approx(0.25, abs=found.error + 2 * BLOCK / RATE)


def test_where_nothing_is_heard_nothing_is_claimed() -> None:
    """An ear piece that was not held to the microphone is told, not guessed around."""
    room = Room(late=None)
    with pytest.raises(RehearseError, match="heard 0 of 3 sounds"):
        delay.measure(room, room)


def test_a_microphone_that_fails_is_told() -> None:
    """Its own line is the one that helps."""
    room = Room(late=0.1, failing="the microphone stopped; plug it in")
    with pytest.raises(SoundError, match="plug it in"):
        delay.measure(room, room)


def test_it_is_kept_for_its_two_devices() -> None:
    """Another headset is late by another time."""
    delay.keep(FOUND, "mic", "headset")
    delay.keep(Measured(0.1, 0.01), "mic", "loudspeaker")
    delay.keep(FOUND, "mic", "headset")
    assert delay.kept("mic", "headset") == FOUND
    assert delay.kept("mic", "loudspeaker") == Measured(0.1, 0.01)
    assert delay.kept("another", "headset") is None


@pytest.mark.parametrize("content", ["{", "[1]", json.dumps([{"microphone": "mic"}])])
def test_a_damaged_file_is_named_with_its_mend(tmp_path: Path, content: str) -> None:
    """One line, and nothing is thrown away unasked."""
    file = tmp_path / "rehearse" / "latency.json"
    file.parent.mkdir()
    file.write_text(content)
    with pytest.raises(StoreError, match=r"latency\.json.*delete it and measure again"):
        delay.kept("mic", "headset")
    assert file.read_text() == content
