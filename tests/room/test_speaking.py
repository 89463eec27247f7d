"""A sentence said calmly: its level, its distance from the room, and what is cut off."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.voice import SileroVoice
from rehearse.measured import Measured
from rehearse.room.speaking import LEAST, speaking

Noise = Callable[..., Sound]
Sentence = Callable[[float], Sound]


def in_a_room(sentence: Sound, noise: Noise, level: float) -> Sound:
    """A sentence with two seconds of silence around it, in noise of a level."""
    quiet = np.zeros(2 * RATE, np.float32)
    whole = np.concatenate([quiet, sentence, quiet])
    return whole + noise(whole.size / RATE, level, pink=True)


@pytest.mark.parametrize("over", [40.0, 20.0, 12.0, 7.0])
def test_a_voice_has_its_level_over_its_room(
    activity: SileroVoice, noise: Noise, sentence: Sentence, over: float
) -> None:
    """Somebody would be told to come nearer who is near enough, or the other way round."""
    room = Measured(-30.0 - over, 0.2)
    found = speaking(in_a_room(sentence(-30.0), noise, -30.0 - over), room, activity)
    assert found.level.value == pytest.approx(-30.0, abs=found.level.error)
    assert found.over_noise.value == pytest.approx(over, abs=found.over_noise.error)
    assert found.over_noise.error < 1.5
    assert found.spoken > LEAST


def test_a_voice_that_drowns_has_no_level(
    activity: SileroVoice, noise: Noise, sentence: Sentence
) -> None:
    """A figure would be told that is made of the room's noise."""
    found = speaking(in_a_room(sentence(-30.0), noise, -32.0), Measured(-32.0, 0.2), activity)
    assert found.level.value is None
    assert found.over_noise.value is None
    assert found.level.void


@pytest.mark.parametrize("level", [-60.0, -35.0])
def test_where_nothing_was_said_there_is_no_level(
    activity: SileroVoice, noise: Noise, level: float
) -> None:
    """The room itself would pass for a very calm voice."""
    found = speaking(noise(8.0, level), Measured(level, 0.2), activity)
    assert found.spoken == 0.0
    assert found.level.value is None
    assert "0.0 s of voice" in found.level.void


def test_a_room_that_is_muted_leaves_the_level(activity: SileroVoice, sentence: Sentence) -> None:
    """With a headset that mutes silence nothing at all would be told of the voice."""
    quiet = np.zeros(2 * RATE, np.float32)
    room = Measured(None, 0.0, "mutes silence")
    found = speaking(np.concatenate([quiet, sentence(-30.0), quiet]), room, activity)
    assert found.level.value == pytest.approx(-30.0, abs=found.level.error)
    assert found.over_noise == Measured(None, 0.0, "mutes silence")


@pytest.mark.parametrize("gain", [0.0, 8.0, 14.0])
def test_what_is_cut_off_is_the_share_put_in(
    activity: SileroVoice, sentence: Sentence, gain: float
) -> None:
    """A microphone that overdrives would be praised, or one that fits be turned down."""
    voice = sentence(-20.0) * np.float32(10 ** (gain / 20))
    loud = np.flatnonzero(np.abs(voice) > 0.05)
    share = float(np.mean(np.abs(voice[loud[0] : loud[-1]]) >= 1.0))
    found = speaking(np.clip(voice, -1.0, 1.0), Measured(-70.0, 0.2), activity)
    assert (share > 0.0005) == (gain > 0.0)
    assert found.clipped.value == pytest.approx(share, abs=found.clipped.error)
    assert found.clipped.error < 0.05
    assert (found.peak > -0.01) == (gain > 0.0)


def test_a_click_outside_the_sentence_is_not_blamed_on_the_voice(
    activity: SileroVoice, noise: Noise, sentence: Sentence
) -> None:
    """Somebody who knocks the table would be told to turn the microphone down."""
    sound = in_a_room(sentence(-30.0), noise, -60.0)
    sound[RATE // 2 : RATE // 2 + 80] = 1.0
    found = speaking(sound, Measured(-60.0, 0.2), activity)
    assert found.clipped.value == 0.0
    assert found.peak < -6.0
