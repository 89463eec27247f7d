"""The room while nobody speaks: its noise and its hum are those that were put in."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import SileroVoice
from rehearse.room.silence import silence

Noise = Callable[..., Sound]
SECONDS = 5.0


def humming(hertz: float, level: float) -> Sound:
    """A hum with two overtones, of a level, dB over full scale."""
    at = np.arange(int(SECONDS * RATE)) / RATE
    lines = ((1, 1.0), (2, 0.6), (3, 0.4))
    sound = np.sum([share * np.sin(2 * np.pi * hertz * k * at + k) for k, share in lines], axis=0)
    return np.asarray(sound / np.std(sound) * 10 ** (level / 20), dtype=np.float32)


@pytest.mark.parametrize("level", [-80.0, -55.0, -30.0])
@pytest.mark.parametrize("pink", [False, True])
def test_the_noise_floor_is_the_one_put_in(
    activity: SileroVoice, noise: Noise, level: float, pink: bool
) -> None:
    """How far a voice stands over the room would be off by as much."""
    found = silence(noise(SECONDS, level, pink=pink), activity)
    assert found.noise.value == pytest.approx(level, abs=found.noise.error)
    assert found.noise.error < 1.0
    assert found.hum is None
    assert found.spoken == 0.0


def test_a_door_that_falls_shut_is_not_the_room(activity: SileroVoice, noise: Noise) -> None:
    """One bang would make a quiet room a loud one."""
    sound = noise(SECONDS, -60.0)
    sound[RATE : RATE + RATE // 5] += noise(0.2, -20.0)
    assert silence(sound, activity).noise.value == pytest.approx(-60.0, abs=0.5)


def test_a_constant_offset_is_not_heard(activity: SileroVoice, noise: Noise) -> None:
    """A cheap device's offset of a hundredth would be taken for a noise of -40 dB."""
    found = silence(noise(SECONDS, -60.0) + np.float32(0.01), activity)
    assert found.noise.value == pytest.approx(-60.0, abs=found.noise.error)


def test_a_room_that_changes_has_a_larger_error(activity: SileroVoice, noise: Noise) -> None:
    """A lorry that passes would be given to a tenth of a decibel."""
    changing = noise(SECONDS, -60.0) * np.linspace(1.0, 4.0, int(SECONDS * RATE))
    found = silence(changing.astype(np.float32), activity)
    assert found.noise.error > 3.0


@pytest.mark.parametrize("sound", [np.zeros(5 * RATE, np.float32), np.full(5 * RATE, 0.2, "f4")])
def test_muted_silence_is_no_quiet_room(activity: SileroVoice, sound: Sound) -> None:
    """A headset that mutes silence would be told to have the best room of all."""
    found = silence(sound, activity)
    assert found.noise.value is None
    assert "mutes silence" in found.noise.void


def test_a_moment_is_too_short(activity: SileroVoice, noise: Noise) -> None:
    """A figure of half a second would be told like one of five."""
    found = silence(noise(0.5, -60.0), activity)
    assert found.noise.value is None
    assert found.noise.void


def test_a_voice_in_the_silence_is_noticed(
    activity: SileroVoice, noise: Noise, sentence: Callable[[float], Sound]
) -> None:
    """Somebody who talks on would be measured as the noise of their own room."""
    spoken = sentence(-30.0)
    found = silence(spoken + noise(spoken.size / RATE, -60.0), activity)
    assert found.spoken > 2.0


@pytest.mark.parametrize("mains", [50, 60])
@pytest.mark.parametrize("over", [10.0, 0.0, -5.0])
def test_hum_has_its_mains_and_its_level(
    activity: SileroVoice, noise: Noise, mains: int, over: float
) -> None:
    """A bad cable would be taken for a loud room, or the person sent to the wrong socket."""
    sound = noise(SECONDS, -60.0, pink=True) + humming(mains * 1.001, -60.0 + over)
    found = silence(sound, activity).hum
    assert found is not None
    assert found.hertz == mains
    assert found.level.value == pytest.approx(-60.0 + over, abs=found.level.error)
    assert found.level.error < 1.0


@pytest.mark.parametrize("hertz", [400.0, 730.0])
def test_another_tone_is_no_hum(activity: SileroVoice, noise: Noise, hertz: float) -> None:
    """A fan's whistle or an aircraft's supply would be blamed on the socket in the wall."""
    at = np.arange(int(SECONDS * RATE)) / RATE
    tone = (0.02 * np.sin(2 * np.pi * hertz * at)).astype(np.float32)
    assert silence(noise(SECONDS, -60.0) + tone, activity).hum is None
