from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from rehearse.hear.onset import ending, onset
from rehearse.hear.recogniser import RATE, Sound

Clip = Callable[[str], Sound]
NAMES = sorted(path.stem for path in (Path(__file__).parent / "sounds").glob("*.flac"))
GAPS = (0.25, 0.4, 0.7, 1.2)
# How a recogniser misses the first word of a saying, in seconds: its start, and its end from there.
MISSES = ((0.0, 0.3), (0.1, 0.25), (0.22, 0.15), (-0.08, 0.3), (-0.2, 0.5), (-0.75, 1.0))


@dataclass(frozen=True, eq=False)
class Row:
    """Sayings one after the other. starts, ends: of each, seconds, by how it was put together."""

    sound: Sound
    starts: tuple[float, ...]
    ends: tuple[float, ...]


def _row(clip: Clip) -> Row:
    """All the clips with gaps of several lengths, each cut to its first and last sound."""
    parts, at = [np.zeros(2 * RATE, np.float32)], 2 * RATE
    starts, ends = [], []
    for number, name in enumerate(NAMES):
        voice = clip(name)
        power = np.convolve(np.square(voice, dtype=np.float64), np.full(64, 1 / 64), "same")
        (loud,) = np.nonzero(power > 10**-3.5 * power.max())
        voice = voice[loud[0] : loud[-1]]
        starts.append(at / RATE)
        ends.append((at + voice.size) / RATE)
        gap = np.zeros(int(GAPS[number % len(GAPS)] * RATE), np.float32)
        parts += [voice, gap]
        at += voice.size + gap.size
    return Row(np.concatenate([*parts, np.zeros(RATE, np.float32)]), tuple(starts), tuple(ends))


@pytest.fixture(scope="module")
def row(clip: Clip) -> Row:
    """The clips in a row, without noise."""
    return _row(clip)


def _in_noise(row: Row, under: float) -> Sound:
    """Over all of it cabin noise, so many dB under the voices."""
    voice = np.concatenate(
        [
            row.sound[int(a * RATE) : int(b * RATE)]
            for a, b in zip(row.starts, row.ends, strict=True)
        ]
    )
    size = row.sound.size
    spectrum = np.fft.rfft(np.random.default_rng(4).normal(size=size))
    noise = np.fft.irfft(spectrum / np.maximum(np.fft.rfftfreq(size, 1 / RATE), 150), size)
    scale = np.sqrt(np.mean(voice**2) / np.mean(noise**2)) * 10 ** (-under / 20)
    noisy: Sound = (row.sound + noise * scale).astype(np.float32)
    return noisy


@pytest.mark.parametrize(("under", "aim"), [(60.0, 0.04), (15.0, 0.08), (10.0, 0.08)])
def test_the_onset_is_found_wherever_the_recogniser_puts_the_word(
    row: Row, under: float, aim: float
) -> None:
    """Reaction times would be off by the recogniser's error, or by the noise of the cabin."""
    sound = _in_noise(row, under)
    off, covered = [], []
    for at, start in enumerate(row.starts):
        before = row.ends[at - 1] if at else 0.0
        for late, length in MISSES:
            about = max(start + late, before - 0.2)  # a recogniser's word reaches no further back
            measured = onset(sound, about, ends=max(start + late + length, about + 0.1))
            assert measured.value is not None
            off.append(abs(measured.value - start))
            covered.append(off[-1] <= measured.error)
    assert np.percentile(off, 95) <= aim
    assert np.mean(covered) >= 0.9


@pytest.mark.parametrize(("under", "aim"), [(60.0, 0.06), (10.0, 0.25)])
def test_the_end_is_found_where_the_recogniser_is_early(row: Row, under: float, aim: float) -> None:
    """Silences between shouts would be told longer or shorter than they were."""
    sound = _in_noise(row, under)
    off = []
    for at, end in enumerate(row.ends):
        after = row.starts[at + 1] if at + 1 < len(row.starts) else None
        for early in (0.0, 0.1, 0.25):
            measured = ending(sound, end - early, until=after)
            assert measured.value is not None
            off.append(abs(measured.value - end))
    assert np.percentile(off, 90) <= aim


def test_what_came_before_a_cue_is_over_is_not_the_trainee(row: Row) -> None:
    """A cue in the microphone would be taken for an answer quicker than anybody's."""
    second = row.starts[3]
    cue = np.sin(2 * np.pi * 900 * np.arange(int(0.2 * RATE)) / RATE).astype(np.float32) * 0.2
    sound = row.sound.copy()
    at = int((second - 0.26) * RATE)
    sound[at : at + cue.size] += cue
    unbounded = onset(sound, second + 0.05, ends=second + 0.3).value
    assert unbounded is not None
    assert unbounded < second - 0.1  # the cue, which runs into the word
    measured = onset(sound, second + 0.05, ends=second + 0.3, since=second - 0.06)
    assert measured.value == pytest.approx(second, abs=0.04)


def test_a_word_without_a_pause_before_it_says_how_little_is_known() -> None:
    """The middle of somebody's sentence would be given as the exact start of a command."""
    hum = np.sin(2 * np.pi * 150 * np.arange(2 * RATE) / RATE).astype(np.float32) * 0.1
    sound = np.concatenate([np.zeros(RATE, np.float32), hum, np.zeros(RATE, np.float32)])
    measured = onset(sound, 2.0, ends=2.3)
    assert measured.value == 2.0
    assert measured.error >= 0.2


def test_silence_has_no_onset() -> None:
    """A time would be made up for a word that the sound does not hold."""
    for sound in (np.zeros(6 * RATE, np.float32), np.zeros(0, np.float32)):
        for measured in (onset(sound, 3.0, ends=3.4), ending(sound, 3.0)):
            assert measured.value is None
            assert measured.void


def test_noise_is_seldom_taken_for_a_word() -> None:
    """What a recogniser makes of noise would be given a time as if somebody had said it."""
    noises = (np.random.default_rng(seed).normal(0, 0.01, 6 * RATE) for seed in range(20))
    found = [onset(noise.astype(np.float32), 3.0, ends=3.4).value is not None for noise in noises]
    assert sum(found) <= 2
