"""Sound in which nobody says a step: nothing of it becomes a step."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from rehearse.events import Ghost
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import RATE, Expectation, Sound
from rehearse.hear.whisper import Whisper
from rehearse.language import Language

SECONDS = 12
_RANDOM = np.random.default_rng(11)


def _times() -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.arange(SECONDS * RATE) / RATE


def _pink() -> Sound:
    spectrum = np.fft.rfft(_RANDOM.normal(0, 1, SECONDS * RATE))
    spectrum /= np.sqrt(np.maximum(1, np.arange(spectrum.size)))
    return (np.fft.irfft(spectrum, SECONDS * RATE) * 20).astype(np.float32)


def _horn() -> Sound:
    times = _times()
    wave = sum(np.sin(2 * np.pi * 410 * h * times) / h for h in range(1, 6))
    horn: Sound = (0.2 * wave * (times % 1.6 < 1.0)).astype(np.float32)
    return horn


def _siren() -> Sound:
    times = _times()
    siren: Sound = (0.3 * np.sin(5000 * times + 30 * np.sin(8 * times))).astype(np.float32)
    return siren


NOISES: dict[str, Callable[[], Sound]] = {
    "silence": lambda: np.zeros(SECONDS * RATE, np.float32),
    "white noise": lambda: _RANDOM.normal(0, 0.2, SECONDS * RATE).astype(np.float32),
    "pink noise": _pink,
    "tone": lambda: (0.3 * np.sin(2 * np.pi * 1000 * _times())).astype(np.float32),
    "horn": _horn,
    "siren": _siren,
}


@pytest.mark.parametrize("kind", NOISES)
def test_noise_is_no_speech(kind: str, segments: Callable[[Sound], list[Segment]]) -> None:
    """Noises without a voice do not even begin an utterance."""
    assert segments(NOISES[kind]()) == []


@pytest.fixture(scope="module")
def confirmer(whisper: Whisper, expectation: Expectation, language: Language) -> Confirmer:
    """Confirms what the real engine reads."""
    return Confirmer(whisper, expectation, language)


@pytest.mark.parametrize("kind", ["silence", "white noise", "pink noise", "horn", "siren"])
def test_noise_taken_for_speech_is_a_ghost(kind: str, confirmer: Confirmer) -> None:
    """Even if the voice detector failed, nothing decoded from noise is heard."""
    sound = NOISES[kind]()[: 3 * RATE]
    event = confirmer.confirm(Segment(sound, 0.0, 0.2, 2.8, 0.0))
    assert isinstance(event, Ghost), event


@pytest.mark.parametrize("voices", [4, 7])
def test_a_crowd_of_voices_says_no_step(
    voices: int,
    confirmer: Confirmer,
    clip: Callable[[str], Sound],
    segments: Callable[[Sound], list[Segment]],
) -> None:
    """Many people speaking at once, of these very steps, are babble and no step."""
    names = [
        "door-two-left-armed", "door-two-left-disarmed", "door-two-right-armed",
        "push-the-red-toggle", "inflate-before", "fasten-the-strap", "rotate-the-drum",
    ]  # fmt: skip
    crowd = np.zeros(8 * RATE, np.float32)
    for at, name in enumerate(names[:voices]):
        spoken = np.tile(clip(name)[RATE:-RATE], 6)[at * 3000 :][: crowd.size]
        crowd += 0.2 * spoken / spoken.std() / voices
    for segment in segments(crowd):
        assert isinstance(confirmer.confirm(segment), Ghost)
