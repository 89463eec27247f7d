"""The recogniser's automatic gain is the recogniser's: levels are those of the sound as it came."""

from __future__ import annotations

from collections.abc import Callable, Generator

import numpy as np
import pytest

from rehearse.events import Heard
from rehearse.hear.level import active_level
from rehearse.hear.listener import listen
from rehearse.hear.recogniser import RATE, Expectation, Sound
from rehearse.hear.source import Chunk
from rehearse.hear.whisper import Whisper, levelled
from rehearse.language import Language

Clip = Callable[[str], Sound]
QUIETER = 24.0  # dB


class Played:
    """A source that plays a sound."""

    name = "played"

    def __init__(self, sound: Sound) -> None:
        self.sound = sound

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound in chunks of a microphone's size."""
        for at in range(0, self.sound.size, 512):
            yield Chunk(self.sound[at : at + 512], at / RATE)


def test_a_quieter_voice_is_read_alike_and_measured_quieter(
    whisper: Whisper, expectation: Expectation, language: Language, clip: Clip
) -> None:
    """Levels taken behind the gain would be the same for a whisper and a shout."""
    loud = clip("pull-the-red-toggle")
    quiet = loud * np.float32(10 ** (-QUIETER / 20))
    one, other = (
        next(event for event in listen(Played(sound), whisper, expectation, language)
             if isinstance(event, Heard))
        for sound in (loud, quiet)
    )  # fmt: skip
    assert one.text == other.text
    assert one.level is not None
    assert other.level is not None
    assert one.level - other.level == pytest.approx(QUIETER, abs=0.3)
    whole = active_level(loud)
    assert whole is not None
    assert one.level == pytest.approx(whole, abs=0.5), "and it is the level of the clip itself"


def test_what_is_handed_to_the_recogniser_stays_as_it_was(whisper: Whisper, clip: Clip) -> None:
    """A gain in place would change the take's sound, and every level measured afterwards."""
    sound = clip("turn-to-bypass") * np.float32(0.02)
    before = sound.copy()
    whisper.free(sound)
    whisper.support(sound, ["Turn the grey cam to bypass"])
    whisper.align(sound, "Turn the grey cam to bypass")
    assert np.array_equal(sound, before)
    assert not np.shares_memory(levelled(sound), sound)
    assert np.array_equal(sound, before)


def test_the_model_sees_one_level(
    whisper: Whisper, clip: Clip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the gain a whisper far from the microphone drowns in the floor of the features."""
    seen: list[Sound] = []
    features = whisper._features

    def spying(sound: Sound, padding: int) -> Sound:
        seen.append(sound.copy())
        return np.asarray(features(sound, padding=padding))

    monkeypatch.setattr(whisper, "_features", spying)
    sound = clip("turn-to-bypass")
    for gain in (0.9, 0.009):
        whisper._encode(sound * np.float32(gain))
    assert seen[0] == pytest.approx(seen[1], abs=1e-4)
    assert float(np.abs(seen[0]).max()) > 0.1
