"""What the loudspeaker is given: all of the sound, a short fade when cut, clear errors."""

from __future__ import annotations

import threading
import time
from types import SimpleNamespace
from typing import Self

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.errors import SoundError
from rehearse.speak import player
from rehearse.speak.player import Loudspeaker, _played, faded, resampled
from rehearse.speak.sound import Rendered

RATE = 1000
FADE = int(0.015 * RATE)


def poured(seconds: float, cut_after: float = np.inf) -> tuple[bool, npt.NDArray[np.float32], int]:
    """What the device was given of a constant sound, cut once so many seconds of it were given.

    Whether it was reported as complete, the samples, and how many there were at the cut.
    """
    cut = threading.Event()
    given: list[npt.NDArray[np.float32]] = []
    at_cut = 0

    def pour(samples: npt.NDArray[np.float32]) -> None:
        nonlocal at_cut
        given.append(samples)
        sounding = sum(int(np.count_nonzero(block)) for block in given)
        if sounding >= cut_after * RATE and not cut.is_set():
            cut.set()
            at_cut = sum(map(len, given))

    complete = _played(np.ones(int(seconds * RATE), dtype=np.float32), RATE, cut, pour)
    return complete, np.concatenate(given), at_cut


def test_plays_all_of_it_between_silences() -> None:
    """Every sample, with silence enough before and after it that none is dropped."""
    complete, given, _ = poured(1.0)
    assert complete
    sounding = np.flatnonzero(given)
    assert len(sounding) == RATE
    assert sounding[0] >= 0.05 * RATE
    assert len(given) - sounding[-1] >= 0.2 * RATE


def test_a_cut_fades_at_once() -> None:
    """After the cut the sound falls to nothing without a jump, and nothing comes after it."""
    complete, given, at_cut = poured(1.0, cut_after=0.3)
    assert not complete
    after = given[at_cut:]
    assert np.abs(np.diff(after[:FADE], prepend=1.0)).max() < 0.1
    assert (after[FADE:] == 0.0).all()


def test_a_cut_after_the_last_sample_is_too_late() -> None:
    """A prompt whose last word was played counts as finished."""
    complete, _, _ = poured(0.1, cut_after=0.1)
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


class Stream:
    """An output whose device has gone: it takes no sample, or cannot even be opened."""

    opens = True

    def __init__(self, **_: object) -> None:
        if not self.opens:
            raise OSError("Device unavailable")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    write_available = 0

    def write(self, _: object) -> None:
        """Block as a driver does whose device is gone."""
        time.sleep(60.0)

    def abort(self) -> None:
        """As sounddevice's."""


class ClosedStream(Stream):
    """One that cannot be opened."""

    opens = False


@pytest.mark.parametrize(
    ("stream", "fault"),
    [(Stream, "takes no sound"), (ClosedStream, "cannot be played on")],
    ids=["takes no samples", "cannot be opened"],
)
def test_a_device_that_fails_is_an_error_not_a_hang(
    monkeypatch: pytest.MonkeyPatch, stream: type[Stream], fault: str
) -> None:
    """A device that takes no samples, or cannot be opened, ends in a SoundError."""
    row = {"name": "speaker", "default_samplerate": 9.0, "max_output_channels": 2}
    fake = SimpleNamespace(
        query_devices=lambda *_: row, OutputStream=stream, PortAudioError=OSError
    )
    monkeypatch.setattr(player, "_sounddevice", lambda: fake)
    monkeypatch.setattr(player, "_STALL_SECONDS", 0.1)
    monkeypatch.setattr(player, "_OPEN_SECONDS", 0.1)
    with pytest.raises(SoundError, match=f"speaker: .*{fault}"):
        play_a_sample()


def test_a_cut_does_not_wait_for_a_device_that_is_asleep(monkeypatch: pytest.MonkeyPatch) -> None:
    """Told to stop before the device took a sample, playing ends and was not complete."""
    row = {"name": "speaker", "default_samplerate": 1000.0, "max_output_channels": 2}
    fake = SimpleNamespace(
        query_devices=lambda *_: row, OutputStream=Stream, PortAudioError=OSError
    )
    monkeypatch.setattr(player, "_sounddevice", lambda: fake)
    monkeypatch.setattr(player, "_STALL_SECONDS", 30.0)
    cut = threading.Event()
    sound = Rendered(np.ones(RATE, dtype=np.float32), RATE)
    assert Loudspeaker().play(sound, cut.set, cut) is False
