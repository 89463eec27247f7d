"""Cue sounds: there, of the length asked for, apart from each other, and the same each time."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import soxr

from rehearse.cues.sounds import SOUNDS, length, render
from rehearse.drill.running.expected import RULE
from rehearse.hear.endpoint import Endpointer
from rehearse.hear.recogniser import RATE
from rehearse.hear.voice import SileroVoice


def spectrum(name: str) -> np.ndarray:
    """How the sound's power lies over pitch, in 20 bands, summing to 1."""
    samples, _ = render(name, 2.0)
    power = np.abs(np.fft.rfft(samples)) ** 2
    edges = np.geomspace(40, 12000, 21) / 12000 * (len(power) - 1)
    bands = np.array([power[int(a) : int(b) + 1].sum() for a, b in pairwise(edges)])
    return np.asarray(bands / bands.sum())


def pitch(name: str) -> float:
    """The strongest frequency of a sound, hertz."""
    samples, rate = render(name)
    return float(np.argmax(np.abs(np.fft.rfft(samples)))) * rate / len(samples)


@pytest.mark.parametrize("name", SOUNDS)
@pytest.mark.parametrize("holds", [None, 0.4, 7.5])
def test_a_sound_is_as_long_as_asked_and_can_be_heard(name: str, holds: float | None) -> None:
    """A cue that is silent, clipped or shorter than its `holds` would spoil every drill with it."""
    samples, rate = render(name, holds)
    assert samples.dtype == np.float32
    assert len(samples) / rate == pytest.approx(length(name, holds), abs=1e-3)
    assert np.isfinite(samples).all()
    assert np.abs(samples).max() == pytest.approx(SOUNDS[name].peak, abs=1e-3)
    first = samples[: int(0.3 * rate)]
    assert np.sqrt(np.mean(first**2)) > 0.004


@pytest.mark.parametrize("name", SOUNDS)
def test_a_sound_ends_without_a_click(name: str) -> None:
    """The last samples fall to nothing, so that no loudspeaker clicks into the microphone."""
    samples, rate = render(name, 1.0)
    assert np.abs(samples[-int(0.001 * rate) :]).max() < 0.1 * SOUNDS[name].peak


def test_a_sound_is_the_same_each_time() -> None:
    """A drill repeated with its seed would otherwise sound unlike itself."""
    from rehearse.cues.sounds import _made

    before = {name: render(name)[0] for name in SOUNDS}
    _made.cache_clear()
    assert all(np.array_equal(before[name], render(name)[0]) for name in SOUNDS)


def test_what_is_done_to_a_sound_does_not_stay() -> None:
    """Whoever plays a sound may change its samples without spoiling the next time."""
    samples, _ = render("water")
    samples[:] = 0
    assert render("water")[0].any()


def test_the_chimes_are_told_apart_by_pitch() -> None:
    """A crew member knows the call by its chime: high is clearly above low."""
    assert pitch("chime-high") / pitch("chime-low") > 1.3
    assert pitch("interphone-call") == pytest.approx(pitch("chime-high"), abs=2)
    assert pitch("interphone-emergency") == pytest.approx(pitch("chime-low"), abs=2)


def test_the_emergency_call_has_three_strokes() -> None:
    """One stroke would be the passenger's call."""
    samples, rate = render("interphone-emergency")
    power = np.add.reduceat(samples**2, np.arange(0, len(samples), rate // 50))
    rises = np.flatnonzero((power[1:] > 2.0 * power[:-1]) & (power[1:] > 0.05 * power.max()))
    assert len(rises) == 3


def test_the_signal_rises_and_falls_as_long_as_it_holds() -> None:
    """It is "a horn that rises and falls": its pitch goes up and down, to the very end."""
    samples, rate = render("evacuation-signal", 12.0)
    pitches = []
    for at in range(0, len(samples) - rate // 10, rate // 10):
        piece = samples[at : at + rate // 10] * np.hanning(rate // 10)
        pitches.append(float(np.argmax(np.abs(np.fft.rfft(piece, rate)))))
    for half in (pitches[:60], pitches[60:]):
        assert min(half) < 470
        assert max(half) > 620


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("slide-filling", "slide-hanging"),
        ("water", "fire"),
        ("crowd-moving", "water"),
        ("evacuation-signal", "smoke-alarm"),
        ("decompression", "impact"),
    ],
)
def test_sounds_that_mean_different_things_sound_different(one: str, other: str) -> None:
    """Who takes one for the other would answer the wrong condition."""
    assert np.abs(spectrum(one) - spectrum(other)).sum() > 0.5


def test_the_crowd_dries_up() -> None:
    """The end of `crowd-gone` is quiet, of `crowd-moving` it is not."""
    gone, rate = render("crowd-gone")
    moving, _ = render("crowd-moving")

    def fallen(samples: np.ndarray) -> float:
        """How far the last second lies under the first, dB."""
        first, last = samples[:rate], samples[int(-1.3 * rate) : int(-0.3 * rate)]
        return float(10 * np.log10(np.mean(first**2) / np.mean(last**2)))

    assert fallen(gone) > 10
    assert abs(fallen(moving)) < 5


@pytest.mark.parametrize("holds", [0.0, -1.0, float("nan")])
def test_a_length_that_is_none_is_refused(holds: float) -> None:
    """Nothing would be played, and nobody would know why."""
    with pytest.raises(ValueError, match="cannot hold"):
        render("water", holds)


def test_every_sound_says_what_it_is() -> None:
    """Where there is no loudspeaker the words stand in for the sound; two alike would mislead."""
    told = [sound.told for sound in SOUNDS.values()]
    assert all(told)
    assert len(set(told)) == len(told)


@pytest.mark.parametrize("level", [1.0, 0.1])
@pytest.mark.parametrize("name", SOUNDS)
def test_no_sound_is_taken_for_a_voice(name: str, level: float) -> None:
    """A microphone that hears a cue, from a headset's rim or the next room, hears no shout."""
    samples, rate = render(name, max(4.0, SOUNDS[name].seconds))
    heard = soxr.resample(samples, rate, RATE) * level
    room = np.random.default_rng(0).normal(0, 3e-4, len(heard) + 2 * RATE)
    room[RATE : RATE + len(heard)] += heard
    endpointer = Endpointer(SileroVoice(), RULE)
    assert endpointer.feed(room.astype(np.float32)) + endpointer.finish() == []
