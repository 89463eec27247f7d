"""The tool's own voice in the microphone: its gain and its delay are those put in, or none told."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.hear.level import active_level
from rehearse.hear.recogniser import RATE, Sound
from rehearse.measured import Measured
from rehearse.room.echo import echo
from rehearse.room.levels import decibels

Noise = Callable[..., Sound]
Sentence = Callable[[float], Sound]
Answer = npt.NDArray[np.float64]

GIVEN, LATE, GAIN = 1.0, 0.237, -18.0
VOICE = Measured(-30.0, 0.5)
STRAIGHT: Answer = np.ones(1)


def reverberant(seconds: float, direct: float) -> Answer:
    """What a room answers to a click: the click, and an echo that is 60 dB down after a time."""
    at = np.arange(int(seconds * RATE))
    tail = np.random.default_rng(2).standard_normal(at.size) * 10 ** (-3 * at / at.size)
    tail[: RATE // 500] = 0.0
    tail *= 0.7 / np.sqrt(np.sum(tail**2))
    tail[0] = direct
    return np.asarray(tail / np.sqrt(np.sum(tail**2)))


def recorded(played: Sound, room: Answer, hiss: Sound, drift: float = 0.0) -> tuple[Sound, float]:
    """A recording in which what was played comes late and quieter, and its true gain, dB.

    drift: by how much faster the clock of one device runs.
    """
    heard = np.convolve(played, room)
    at = np.arange(heard.size)
    heard = np.interp(at * (1 + drift), at, heard) * 10 ** (GAIN / 20)
    whole = hiss.astype(np.float64)
    first = int((GIVEN + LATE) * RATE)
    whole[first : first + heard.size] += heard
    true = 10 * np.log10(np.sum(heard**2) / np.sum(played.astype(np.float64) ** 2))
    return whole.astype(np.float32), float(true)


@pytest.fixture(scope="module")
def played(sentence: Sentence) -> Sound:
    """What the tool says, some seven seconds."""
    return sentence(-20.0)


@pytest.mark.parametrize("under", [40.0, 0.0, -10.0])
@pytest.mark.parametrize(
    ("room", "drift"),
    [
        (STRAIGHT, 0.0),
        (STRAIGHT, 1e-4),
        (reverberant(0.3, 1.0), 0.0),
        (reverberant(0.6, 0.3), 0.0),
    ],
    ids=["straight", "drifting clocks", "room", "hall, far away"],
)
def test_gain_and_delay_are_those_put_in(
    noise: Noise, played: Sound, room: Answer, drift: float, under: float
) -> None:
    """The noise lies 40 dB under the echo, at it, or 10 dB over it; the stated error covers all."""
    loud = 10 * np.log10(np.mean(played.astype(np.float64) ** 2))
    level = float(loud) + GAIN - under
    hiss = noise(played.size / RATE + 4, level, pink=True)
    sound, true = recorded(played, room, hiss, drift)
    found = echo(sound, GIVEN, played, VOICE, Measured(level, 0.2))
    assert found.heard
    assert found.delay.value == pytest.approx(LATE, abs=found.delay.error)
    assert found.at_most is not None
    assert true < found.at_most + 0.5
    if found.gain.value is None:
        assert under < 0, "too weak to measure only where the noise is over it"
        return
    assert found.gain.value == pytest.approx(true, abs=found.gain.error)
    assert found.gain.error <= 3.0
    own = active_level(played)
    assert own is not None
    assert found.level.value == pytest.approx(own + found.gain.value, abs=0.01)
    assert found.under_voice.value == pytest.approx(-30.0 - own - found.gain.value, abs=0.01)
    assert found.under_voice.error >= found.gain.error + VOICE.error


def test_a_quiet_echo_is_told_to_a_decibel(noise: Noise, played: Sound) -> None:
    """Where little disturbs it, the figure must not hide behind a wide error."""
    sound, _ = recorded(played, STRAIGHT, noise(played.size / RATE + 4, -75.0))
    found = echo(sound, GIVEN, played, VOICE, Measured(-75.0, 0.2))
    assert found.gain.value == pytest.approx(GAIN, abs=0.2)
    assert found.gain.error < 1.0


def _elsewhere(noise: Noise, sentence: Sentence, kind: str, seconds: float) -> Sound:
    at = np.arange(int(seconds * RATE)) / RATE
    match kind:
        case "noise":
            return noise(seconds, -40.0)
        case "hum":
            lines = [np.sin(2 * np.pi * 120 * k * at + k) for k in range(1, 20)]
            hum = (0.01 * np.sum(lines, axis=0)).astype(np.float32)
            return np.asarray(noise(seconds, -60.0) + hum)
        case "nothing":
            return np.zeros(at.size, np.float32)
        case _:
            backwards = sentence(-25.0)[::-1]
            return np.asarray(np.resize(backwards, at.size), dtype=np.float32)


@pytest.mark.parametrize("kind", ["noise", "hum", "nothing", "another voice"])
def test_nothing_is_found_where_nothing_comes_back(
    noise: Noise, sentence: Sentence, played: Sound, kind: str
) -> None:
    """Somebody with headphones would be told that the tool hears itself."""
    sound = _elsewhere(noise, sentence, kind, played.size / RATE + 4)
    found = echo(sound, GIVEN, played, VOICE, Measured(-40.0, 0.2))
    assert not found.heard
    assert found.gain.value is None
    assert found.delay.value is None
    assert "not heard" in found.gain.void
    loudest = decibels(float(np.mean(sound.astype(np.float64) ** 2)))
    assert found.at_most is not None
    assert found.at_most < loudest + 20.0 + 6.0, "the bound follows from what was recorded"


def test_somebody_who_talks_meanwhile_widens_the_error(
    noise: Noise, sentence: Sentence, played: Sound
) -> None:
    """What the trainee says while the tool speaks would be counted as the tool's."""
    sound, true = recorded(played, STRAIGHT, noise(played.size / RATE + 4, -70.0))
    talk = sentence(-38.0)[::-1]
    sound[2 * RATE : 2 * RATE + talk.size] += talk[: sound.size - 2 * RATE]
    found = echo(sound, GIVEN, played, VOICE, Measured(-70.0, 0.2))
    assert found.heard
    assert found.gain.value is None or abs(found.gain.value - true) <= found.gain.error
    assert found.gain.value is None or found.gain.error > 1.0


def test_a_word_is_too_little(noise: Noise, played: Sound) -> None:
    """A figure of one second of voice would be told like one of seven."""
    found = echo(noise(8.0, -60.0), GIVEN, played[:RATE], VOICE, Measured(-60.0, 0.2))
    assert not found.heard
    assert "too little" in found.gain.void


def test_a_voice_without_a_level_leaves_the_gain(noise: Noise, played: Sound) -> None:
    """In a loud room the echo would be lost together with the voice."""
    sound, _ = recorded(played, STRAIGHT, noise(played.size / RATE + 4, -75.0))
    found = echo(sound, GIVEN, played, Measured(None, 0.0, "it drowns"), Measured(-75.0, 0.2))
    assert found.gain.value == pytest.approx(GAIN, abs=found.gain.error)
    assert found.under_voice.value is None
    assert "it drowns" in found.under_voice.void
