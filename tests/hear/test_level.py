from __future__ import annotations

import math
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
import soundfile

from rehearse.hear.level import active_level, speech_level
from rehearse.hear.recogniser import RATE, Sound

Clip = Callable[[str], Sound]
CLIPS = ("door-two-left-armed", "turn-to-bypass", "unfasten-the-strap")


def reference(sound: Sound) -> float | None:
    """ITU-T P.56 method B, sample by sample, as the recommendation describes it."""
    keep = math.exp(-1 / (RATE * 0.03))
    hangover = math.ceil(0.2 * RATE)
    thresholds = [2.0**-power for power in range(15, -1, -1)]
    active = [0] * len(thresholds)
    hung = [hangover] * len(thresholds)
    first = second = squares = 0.0
    for sample in sound.tolist():
        squares += sample * sample
        first = keep * first + (1 - keep) * abs(sample)
        second = keep * second + (1 - keep) * first
        for at, threshold in enumerate(thresholds):
            if second >= threshold:
                active[at] += 1
                hung[at] = 0
            elif hung[at] < hangover:
                active[at] += 1
                hung[at] += 1
            else:
                break  # nor was any higher threshold met more lately
    return _at_the_margin(squares, active, thresholds)


def _at_the_margin(squares: float, active: list[int], thresholds: list[float]) -> float | None:
    before: tuple[float, float] | None = None
    for count, threshold in zip(active, thresholds, strict=True):
        if not count:
            return None
        level, margin = 10 * math.log10(squares / count), 15.9
        over = level - 20 * math.log10(threshold) - margin
        if over <= 0:
            if before is None:
                return level
            return before[0] + before[1] / (before[1] - over) * (level - before[0])
        before = (level, over)
    return None


def _steady(seconds: float, level: float) -> Sound:
    """Noise at a level in dB relative to full scale."""
    noise = np.random.default_rng(2).normal(0, 1, int(seconds * RATE))
    return (noise * 10 ** (level / 20)).astype(np.float32)


def _cabin(size: int, power: float) -> Sound:
    """Noise that falls by 6 dB an octave above 150 Hz, of a mean power."""
    spectrum = np.fft.rfft(np.random.default_rng(7).normal(size=size))
    noise = np.fft.irfft(spectrum / np.maximum(np.fft.rfftfreq(size, 1 / RATE), 150), size)
    return (noise * math.sqrt(power / float(np.mean(noise**2)))).astype(np.float32)


def _spoken(sound: Sound) -> Sound:
    """The clip from its first to its last sample within 40 dB of the loudest."""
    (loud,) = np.nonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return sound[loud[0] : loud[-1] + 1]


def _among(voice: Sound, noise: float) -> tuple[Sound, float, float]:
    """A clip with two seconds of silence on both sides, noise over all: sound, start, end.

    noise: dB under the clip's mean power.
    """
    silence = np.zeros(2 * RATE, np.float32)
    sound = np.concatenate([silence, voice, silence])
    power = float(np.mean(voice**2)) * 10 ** (-noise / 10)
    return sound + _cabin(sound.size, power), 2.0, 2.0 + voice.size / RATE


@pytest.mark.parametrize("name", CLIPS)
def test_the_level_is_that_of_the_recommendation(clip: Clip, name: str) -> None:
    """Levels would not be active speech levels as others measure them."""
    for gain in (0.05, 1.0):
        sound = clip(name) * np.float32(gain)
        assert active_level(sound) == pytest.approx(reference(sound), abs=0.05)


@pytest.mark.parametrize("name", CLIPS)
@pytest.mark.parametrize("noise", [60.0, 10.0, 5.0])
def test_a_saying_in_cabin_noise_has_the_level_of_its_voice(
    clip: Clip, name: str, noise: float
) -> None:
    """A shout in a noisy room would count as louder than it was."""
    voice = _spoken(clip(name))
    measured = speech_level(*_among(voice, noise))
    assert measured.value == pytest.approx(reference(voice), abs=1.0)


@pytest.mark.parametrize("seconds", [0.1, 0.2, 0.3, 0.39, 0.5])
@pytest.mark.parametrize("noise", [60.0, 10.0])
def test_a_short_shout_has_the_level_of_a_long_one(
    clip: Clip, seconds: float, noise: float
) -> None:
    """ "Jump!" would be called too quiet only because it is short."""
    voice = _spoken(clip("door-two-left-armed"))[: int(seconds * RATE)]
    for_long = reference(np.tile(voice, math.ceil(2 * RATE / voice.size)))
    sound, start, end = _among(voice, noise)
    assert speech_level(sound, start, end).value == pytest.approx(for_long, abs=1.0)
    if seconds < 0.35 and noise == 60.0:  # what the recommendation alone makes of it
        assert for_long is not None
        assert (reference(sound) or 0.0) < for_long - 1.5


def test_a_gain_is_measured_as_that_gain(clip: Clip) -> None:
    """A shout 17 dB over the calm voice would be told as something else."""
    calm = clip("turn-to-bypass") * np.float32(0.1)
    shout = _spoken(calm) * np.float32(10 ** (17 / 20))
    over = speech_level(*_among(shout, 40.0)).value
    like = speech_level(*_among(_spoken(calm), 40.0)).value
    assert over is not None
    assert like is not None
    assert over - like == pytest.approx(17, abs=0.2)


def test_a_voice_under_the_noise_has_no_level(clip: Clip) -> None:
    """A level of noise alone would be told as somebody's."""
    measured = speech_level(*_among(_spoken(clip("turn-to-bypass")), -6.0))
    assert measured.value is None
    assert "background" in measured.void


def test_a_click_or_nothing_has_no_level() -> None:
    """A stretch without samples, or too few, would end the scoring of a take."""
    for start, end in ((0.5, 0.51), (0.5, 0.4), (9.0, 9.5)):
        assert speech_level(_steady(1.0, -20), start, end).value is None
    assert speech_level(np.zeros(RATE, np.float32), 0.2, 0.8).value is None


@pytest.mark.skipif(shutil.which("sox") is None, reason="sox is not installed")
def test_sox_gives_a_voice_without_pauses_the_same_level(clip: Clip, tmp_path: Path) -> None:
    """Where nothing pauses the active level must be the plain one that other tools print."""
    voice = _spoken(clip("door-two-left-armed"))[: RATE // 3]
    going_on = np.tile(voice, 9)
    soundfile.write(tmp_path / "voice.wav", going_on, RATE, "FLOAT")
    stats = subprocess.run(
        ["sox", tmp_path / "voice.wav", "-n", "stats"], capture_output=True, text=True, check=True
    )
    plain = next(line for line in stats.stderr.splitlines() if line.startswith("RMS lev dB"))
    assert active_level(going_on) == pytest.approx(float(plain.split()[-1]), abs=0.3)


def test_loudness_changes_as_a_loudness_meter_has_it(clip: Clip) -> None:
    """A steady tone has another level than its loudness, or a gain is not the meter's gain."""
    meter = pyloudnorm.Meter(RATE)
    tone = np.sin(2 * np.pi * 997 * np.arange(3 * RATE) / RATE).astype(np.float32) * 0.1
    assert active_level(tone) == pytest.approx(meter.integrated_loudness(tone), abs=0.5)
    quiet = np.tile(clip("unfasten-the-strap"), 2) * np.float32(0.1)
    loud = quiet * np.float32(6.0)
    gained = meter.integrated_loudness(loud) - meter.integrated_loudness(quiet)
    assert (active_level(loud) or 0) - (active_level(quiet) or 0) == pytest.approx(gained, abs=0.1)


def test_a_steady_sound_has_its_own_level() -> None:
    """Without pauses the active level is the plain one."""
    assert active_level(_steady(3.0, -26)) == pytest.approx(-26, abs=0.3)


def test_pauses_do_not_lower_the_level() -> None:
    """Two thirds of silence change the level by less than a decibel."""
    pause = np.zeros(2 * RATE, np.float32)
    sound = np.concatenate([pause, _steady(2.0, -26), pause])
    assert active_level(sound) == pytest.approx(-26, abs=1.0)


def test_silence_has_no_level() -> None:
    """Digital silence, or no sound at all, is not so many decibels."""
    assert active_level(np.zeros(RATE, np.float32)) is None
    assert active_level(np.zeros(0, np.float32)) is None
