"""Real voices saying opposites: the words that decide are never confused."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from rehearse.events import Ghost, Heard
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import Expectation, Sound
from rehearse.hear.scoring import plain
from rehearse.hear.whisper import Whisper
from rehearse.language import Language

Hear = Callable[[Sound], Heard | Ghost]

SPOKEN = {
    "door-two-left-armed": ("armed", "left", "two"),
    "door-two-left-disarmed": ("disarmed", "left", "two"),
    "door-two-right-armed": ("armed", "right", "two"),
    "door-three-left-armed": ("armed", "left", "three"),
    "pull-the-red-toggle": ("pull", "inner", "left"),
    "push-the-red-toggle": ("push", "inner", "left"),
    "inflate-after": ("after",),
    "inflate-before": ("before",),
    "unfasten-the-strap": ("unfasten",),
    "fasten-the-strap": ("fasten",),
    "turn-to-bypass": ("turn", "bypass"),
    "do-not-turn-to-bypass": ("do", "not", "turn", "bypass"),
    "rotate-the-drum": ("90", "armed"),
    "check-both-panes": ("both", "amber", "lit"),
}
_PAIRS = (
    ("armed", "disarmed"), ("left", "right"), ("two", "three"), ("pull", "push"),
    ("after", "before"), ("fasten", "unfasten"), ("inner", "outer"), ("lit", "out"),
)  # fmt: skip
_OPPOSITE = dict([*_PAIRS, *((other, one) for one, other in _PAIRS)])
_DIGITS = {"2": "two", "3": "three"}


@pytest.fixture(scope="module")
def hear(
    whisper: Whisper,
    expectation: Expectation,
    language: Language,
    segments: Callable[[Sound], list[Segment]],
) -> Hear:
    """The whole path from a sound with one utterance to what was heard."""
    confirmer = Confirmer(whisper, expectation, language)

    def run(sound: Sound) -> Heard | Ghost:
        found = segments(sound)
        assert len(found) == 1
        return confirmer.confirm(found[0])

    return run


def _noisy(sound: Sound, decibels: float) -> Sound:
    """Pink-like noise under the speech, at a ratio to its loudest second."""
    spectrum = np.fft.rfft(np.random.default_rng(7).normal(0, 1, sound.size))
    spectrum /= np.sqrt(np.maximum(1, np.arange(spectrum.size)))
    noise = np.fft.irfft(spectrum, sound.size)
    speech = np.sqrt(np.mean(sound[np.abs(sound) > 0.01] ** 2))
    noisy = sound + noise / noise.std() * speech * 10 ** (-decibels / 20)
    loud: Sound = noisy.astype(np.float32)
    return loud


def _words(heard: Heard) -> list[str]:
    return [_DIGITS.get(word, word) for word in plain(heard.text).lower().split()]


@pytest.mark.parametrize("name", SPOKEN)
def test_deciding_words_are_heard_as_spoken(
    hear: Hear, clip: Callable[[str], Sound], name: str
) -> None:
    """Each clip's state, side, number and polarity are heard, and no flip test is near."""
    heard = hear(clip(name))
    assert isinstance(heard, Heard)
    words = _words(heard)
    assert all(word in words for word in SPOKEN[name]), heard.text
    assert heard.checks
    assert min(check.margin for check in heard.checks) > 3.0


@pytest.mark.parametrize("condition", ["noise at 12 dB", "noise at 6 dB", "shouted and clipped"])
@pytest.mark.parametrize("name", SPOKEN)
def test_no_opposite_is_heard_in_a_bad_sound(
    hear: Hear, clip: Callable[[str], Sound], name: str, condition: str
) -> None:
    """Where a deciding word is lost in the noise, its opposite is not heard in its place."""
    sound = clip(name)
    if condition == "shouted and clipped":
        sound = np.clip(sound * 25, -1, 1).astype(np.float32)
    else:
        sound = _noisy(sound, float(condition.split()[2]))
    heard = hear(sound)
    if isinstance(heard, Heard):
        opposites = {_OPPOSITE[word] for word in SPOKEN[name] if word in _OPPOSITE}
        doubtful = {check.heard for check in heard.checks or () if check.margin < 3.0}
        assert not opposites & set(_words(heard)) - doubtful, heard.text
