"""What the loudspeaker is given: all of the sound, a short fade when cut, clear errors."""

from __future__ import annotations

import threading
from types import SimpleNamespace
from typing import Self

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.errors import SoundError
from rehearse.speak import player
from rehearse.speak.player import Loudspeaker, _played, _Pour, faded, resampled
from rehearse.speak.sound import Rendered

RATE = 1000
BLOCK = 20  # samples poured at a time at this rate


def played(seconds: float, cut_at: int | None = None) -> tuple[bool, npt.NDArray[np.float32]]:
    """Everything the device was given of a constant sound, cut once so many blocks are in."""
    cut = threading.Event()
    blocks: list[npt.NDArray[np.float32]] = []

    def write(block: npt.NDArray[np.float32]) -> None:
        blocks.append(block)
        if len(blocks) == cut_at:
            cut.set()

    samples = np.ones(int(seconds * RATE), dtype=np.float32)
    complete = _played(samples, RATE, cut, _Pour(write, 2, threading.Event()))
    return complete, np.concatenate(blocks)


def test_plays_all_of_it_between_silences() -> None:
    """Every sample on both channels, and so much silence around it that none of it is dropped."""
    complete, given = played(1.0)
    assert complete
    (sounding,) = np.nonzero((given == 1.0).all(axis=1))
    assert len(sounding) == RATE
    assert sounding[-1] - sounding[0] == RATE - 1
    assert sounding[0] >= 0.05 * RATE
    assert len(given) - sounding[-1] >= 0.2 * RATE


def test_a_cut_fades_within_a_block() -> None:
    """After the cut the sound falls to nothing without a jump, and nothing comes after it."""
    complete, given = played(1.0, cut_at=4)
    assert not complete
    (sounding,) = np.nonzero(given[:, 0])
    assert sounding[-1] - sounding[0] < 4 * BLOCK
    assert np.abs(np.diff(given[sounding[0] :, 0])).max() < 0.1


def test_a_cut_in_the_silence_after_the_sound_is_too_late() -> None:
    """A prompt whose last word was played counts as finished."""
    complete, _ = played(0.1, cut_at=7)
    assert complete


def test_a_fade_of_less_than_its_length() -> None:
    """Fewer samples than the fade is long are no trouble."""
    assert faded(np.ones(3, dtype=np.float32), 10).shape == (3,)
    assert faded(np.ones(0, dtype=np.float32), 10).shape == (0,)


def test_takes_the_device_rate() -> None:
    """The sound keeps its length at another rate."""
    sound = Rendered(np.ones(22050, dtype=np.float32), 22050)
    assert len(resampled(sound, 48000.0)) == 48000
    assert resampled(sound, 22050.0) is sound.samples


def play_a_sample() -> None:
    """Play the shortest sound there is on the default device."""
    sound = Rendered(np.ones(1, dtype=np.float32), 9)
    Loudspeaker().play(sound, threading.Event().set, threading.Event())


def test_no_loudspeaker_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PortAudio lists no output the error says what happens and how to mend it."""

    def none(*_: object) -> None:
        raise ValueError("No output device matching 'nowhere'")

    fake = SimpleNamespace(query_devices=none, PortAudioError=OSError)
    monkeypatch.setattr(player, "_sounddevice", lambda: fake)
    with pytest.raises(SoundError, match="prompts are shown, not spoken"):
        play_a_sample()


@pytest.mark.parametrize("stalls", [True, False], ids=["takes no samples", "cannot be opened"])
def test_a_device_that_fails_is_an_error_not_a_hang(
    monkeypatch: pytest.MonkeyPatch, stalls: object
) -> None:
    """A device that never takes a sample, or cannot be opened, ends in a SoundError."""
    given_up = threading.Event()

    class Stream:
        """An output that takes nothing until it is given up."""

        def __init__(self, **_: object) -> None:
            if not stalls:
                raise OSError("Device unavailable")

        def __enter__(self) -> Self:
            return self

        def __exit__(self, *_: object) -> None:
            return None

        def write(self, _: object) -> None:
            given_up.wait(10)

    fake = SimpleNamespace(
        query_devices=lambda *_: {
            "name": "speaker", "default_samplerate": 9.0, "max_output_channels": 2,
        },
        OutputStream=Stream,
        PortAudioError=OSError,
    )  # fmt: skip
    monkeypatch.setattr(player, "_sounddevice", lambda: fake)
    monkeypatch.setattr(player, "_STALL_SECONDS", 0.1)
    monkeypatch.setattr(player, "_OPEN_SECONDS", 0.1)
    with pytest.raises(SoundError, match="speaker: "):
        play_a_sample()
    given_up.set()
