"""The sounds of the hearing benchmark."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from rehearse.bench.drill_voices import Shouter
from rehearse.bench.hearing import signals
from rehearse.bench.hearing.conditions import (
    AFTER,
    BEFORE,
    CONDITIONS,
    LEVEL,
    condition_sound,
    named,
)
from rehearse.bench.shouting import Floats
from rehearse.errors import SoundError
from rehearse.hear.clipping import clipped
from rehearse.hear.pitch import pitch
from rehearse.hear.recogniser import RATE, Sound

Heard = Callable[[str], Sound]
TEXT = "Turn the mode drum to armed"
EDGE = round(BEFORE * RATE)


@pytest.fixture
def heard(hummer: Shouter) -> Heard:
    """One text of the hummer under a condition."""
    return lambda name: condition_sound(hummer.say(TEXT), hummer.name, TEXT, name)


def level(sound: Floats | Sound) -> float:
    """Decibels over full scale."""
    return float(10 * np.log10(np.mean(np.square(sound, dtype=np.float64)) + 1e-20))


def speech(sound: Sound) -> Sound:
    """What lies between the silences."""
    return sound[EDGE : len(sound) - round(AFTER * RATE)]


def hertz(sound: Sound) -> float:
    """The pitch of its voice."""
    found = pitch(sound).value
    assert found is not None
    return found


def seconds(sound: Sound) -> float:
    """Length of what lies between the silences."""
    return speech(sound).size / RATE


def test_a_sound_is_decided_by_voice_text_and_condition(heard: Heard) -> None:
    """A result could not be had again, or every noisy text would lie in the same noise."""
    for name in CONDITIONS:
        assert np.array_equal(heard(name), heard(name))
    assert not np.array_equal(heard("noise 10 dB")[:EDGE], heard("noise 15 dB")[:EDGE])


@pytest.mark.parametrize("ratio", [15, 10, 5])
def test_noise_lies_as_far_below_the_voice_as_it_says(heard: Heard, ratio: int) -> None:
    """Rates would be told for a noise that nobody heard."""
    noise = level(heard(f"noise {ratio} dB")[:EDGE])
    assert level(speech(heard("clean"))) - noise == pytest.approx(ratio, abs=1.0)
    assert level(speech(heard("clean"))) == pytest.approx(LEVEL, abs=0.5)


def test_a_shout_is_louder_higher_and_cut_off(heard: Heard) -> None:
    """What is called a shout would be the calm voice again."""
    calm, shout = heard("clean"), heard("shouted")
    # Before it is cut off: what is cut off is missing from its level.
    assert level(speech(shout)) - level(speech(calm)) == pytest.approx(20.0, abs=2.0)
    assert 0.0 < clipped(shout) < 0.1
    ratio = hertz(shout) / hertz(calm)
    assert ratio == pytest.approx(1.2, abs=0.04)
    assert seconds(shout) / seconds(calm) == pytest.approx(1.1, abs=0.03)


def test_fast_is_shorter_at_the_same_pitch(heard: Heard) -> None:
    """A fast recital would sound like a child's."""
    calm, fast = heard("clean"), heard("fast")
    assert seconds(calm) / seconds(fast) == pytest.approx(1.4, abs=0.03)
    assert hertz(fast) / hertz(calm) == pytest.approx(1.0, abs=0.02)


def test_a_whisper_keeps_the_shape_and_loses_the_pitch(heard: Heard) -> None:
    """What is called a whisper would still be voiced, or would be noise without words."""
    calm, whisper = speech(heard("clean")), speech(heard("whispered"))
    assert level(calm) - level(whisper) == pytest.approx(14.0, abs=2.0)
    assert _voiced(calm) > 0.8
    assert _voiced(whisper) < 0.4
    assert np.corrcoef(_swells(calm), _swells(whisper))[0, 1] > 0.8


def _voiced(sound: Sound) -> float:
    """How like itself one period of 140 hertz later the sound is, 0..1."""
    lag = round(RATE / 140)
    return float(np.corrcoef(sound[:-lag], sound[lag:])[0, 1])


def _swells(sound: Sound) -> Floats:
    width = RATE // 50
    whole = sound[: sound.size // width * width].reshape(-1, width)
    sizes: Floats = np.sqrt(np.mean(np.square(whole, dtype=np.float64), axis=1))
    return sizes


def test_a_headset_carries_only_its_band(heard: Heard) -> None:
    """Low and high sounds would be heard that no headset carries."""
    spectrum = np.square(np.abs(np.fft.rfft(speech(heard("headset")))))
    hertz = np.fft.rfftfreq(speech(heard("headset")).size, 1 / RATE)
    inside = (hertz > 300) & (hertz < 3400)
    outside = (hertz < 150) | (hertz > 5000)
    assert spectrum[outside].sum() < 0.01 * spectrum[inside].sum()


def test_an_echo_goes_on_after_the_voice(heard: Heard) -> None:
    """The room would not be heard."""
    after = slice(EDGE + len(speech(heard("clean"))), None)
    tail = slice(after.start + RATE // 50, after.start + RATE // 10)
    assert level(heard("echo")[tail]) > level(heard("clean")[tail]) + 20
    response = signals.room_response()
    left = np.cumsum(np.square(response)[::-1])[::-1]
    fallen = 10 * np.log10(left / left[0])
    twenty = (np.argmax(fallen < -25) - np.argmax(fallen < -5)) / RATE
    assert 3 * twenty == pytest.approx(0.35, abs=0.05)


def test_an_unknown_condition_is_told_with_those_there_are() -> None:
    """A mistyped name would hear nothing, or end in a traceback."""
    assert named(()) == tuple(CONDITIONS)
    assert named(("echo", "clean")) == ("clean", "echo")
    with pytest.raises(SoundError, match=r"condition 'nois' is not known; known are clean"):
        named(("nois",))
