"""Sound that cannot be the text is refused; silence around speech is cut away."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.errors import VoiceError
from rehearse.speak.sound import Rendered, read, trimmed, verified

RATE = 22050
TEXT = "Turn the mode drum a quarter turn towards the hinge to armed."


def tone(seconds: float, level: float = 0.3) -> Rendered:
    """A steady tone, standing in for speech."""
    time = np.arange(int(seconds * RATE)) / RATE
    return Rendered((level * np.sin(2 * np.pi * 200 * time)).astype(np.float32), RATE)


def test_accepts_a_plausible_length() -> None:
    """Four seconds can be twelve words."""
    sound = tone(4.0)
    assert verified(sound, TEXT, 150) is sound


@pytest.mark.parametrize(
    "sound",
    [
        tone(0.8),
        tone(20.0),
        tone(0.0),
        tone(4.0, level=0.0001),
        Rendered(np.full(4 * RATE, np.nan, dtype=np.float32), RATE),
    ],
    ids=["cut off", "far too long", "empty", "silent", "not finite"],
)
def test_refuses_what_cannot_be_the_text(sound: Rendered) -> None:
    """A sound cut off, endless, silent or broken is a VoiceError with a mend."""
    with pytest.raises(VoiceError, match=r"run 'rehearse doctor'"):
        verified(sound, TEXT, 150)


def test_trims_silence_but_no_speech() -> None:
    """The silence goes, the speech and a breath around it stay."""
    silence = np.zeros(RATE, dtype=np.float32)
    speech = tone(1.0).samples
    cut = trimmed(Rendered(np.concatenate([silence, speech, silence]), RATE))
    assert 1.0 <= cut.seconds <= 1.1
    assert trimmed(Rendered(silence, RATE)).seconds == 1.0


def test_reads_several_channels_as_one(tmp_path: Path) -> None:
    """A stereo file of some engine becomes mono."""
    file = tmp_path / "speech.wav"
    soundfile.write(file, np.stack([tone(1.0).samples, np.zeros(RATE)], axis=1), RATE)
    assert read(file).samples.shape == (RATE,)


def test_a_file_that_is_no_sound(tmp_path: Path) -> None:
    """Text named .wav, and no file at all, are VoiceErrors."""
    file = tmp_path / "speech.wav"
    with pytest.raises(VoiceError):
        read(file)
    file.write_text("hello")
    with pytest.raises(VoiceError):
        read(file)
