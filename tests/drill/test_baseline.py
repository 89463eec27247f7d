from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.drill.baseline import Calm, calm
from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import SileroVoice

SOUNDS = Path(__file__).parent.parent / "hear" / "sounds"


def _noise(size: int, level: float) -> Sound:
    """Noise of a level in dB relative to full scale."""
    return np.random.default_rng(8).normal(0, 10 ** (level / 20), size).astype(np.float32)


@pytest.fixture(scope="module")
def reading() -> Sound:
    """Half a minute of sentences by several voices, one after the other, each at -32 dB."""
    parts: list[Sound] = []
    while sum(part.size for part in parts) < 30 * RATE:
        for path in sorted(SOUNDS.glob("*.flac")):
            voice, _ = soundfile.read(path, dtype="float32")
            level = active_level(voice)
            assert level is not None
            parts += [
                voice * np.float32(10 ** ((-32 - level) / 20)),
                np.zeros(RATE // 4, "float32"),
            ]
    return np.concatenate(parts)[: 30 * RATE]


def _measured(sound: Sound) -> Calm:
    return calm(sound.astype(np.float32), SileroVoice())


@pytest.mark.parametrize("room", [-90.0, -60.0, -50.0])
def test_a_calm_reading_gives_the_level_of_the_voice(reading: Sound, room: float) -> None:
    """All levels of a drill would be told over something else than the calm voice."""
    found = _measured(reading + _noise(reading.size, room))
    assert found.level.value == pytest.approx(-32.0, abs=1.0)
    assert found.level.value == pytest.approx(active_level(reading) or 0.0, abs=0.3)
    assert found.level.error >= 0.5
    assert found.spoken > 12
    assert found.pitch.value is not None


def test_the_room_is_measured_beside_the_voice(reading: Sound) -> None:
    """A person could not be told how loud their room is."""
    assert _measured(reading + _noise(reading.size, -55.0)).noise == pytest.approx(-55, abs=3)


def _refused(sound: Sound) -> str:
    found = _measured(sound)
    assert found.level.value is None
    return found.level.void


def test_a_loud_room_is_refused(reading: Sound) -> None:
    """A baseline of the engines would make every shout too quiet."""
    assert "room is too loud" in _refused(reading + _noise(reading.size, -38.0))


def test_a_microphone_that_clips_is_refused(reading: Sound) -> None:
    """A level that the microphone cuts off would pass for the voice's."""
    assert "clips" in _refused(np.clip(reading * 40, -1, 1))


def test_too_little_reading_is_refused(reading: Sound) -> None:
    """A cough and a sentence would set somebody's level for good."""
    still = np.zeros(22 * RATE, np.float32)
    text = _refused(np.concatenate([reading[: 8 * RATE], still]) + _noise(30 * RATE, -70.0))
    assert "of voice were heard" in text
    assert "0 s of voice" in _refused(_noise(30 * RATE, -45.0))


def test_a_dead_microphone_is_refused() -> None:
    """Silence would be taken for a very calm voice."""
    for sound in (np.zeros(30 * RATE, np.float32), np.zeros(0, np.float32)):
        assert "delivers no sound" in _refused(sound)


def test_a_voice_that_does_not_stay_calm_is_refused(reading: Sound) -> None:
    """Somebody who leans back half way would be measured at a distance they do not keep."""
    gain = np.where(np.arange(reading.size) < 15 * RATE, 1.0, 4.0)
    assert "changed by" in _refused(reading * gain)
