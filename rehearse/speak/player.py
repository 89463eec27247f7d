"""The loudspeaker, through PortAudio: plays one sound, says when it begins, stops at once.

Each sound gets a stream of its own, so that a loudspeaker plugged in later is used and one that
goes away costs one prompt. A device that takes no more samples is a `SoundError`, never a hang.
"""

from __future__ import annotations

import importlib
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from rehearse.errors import SoundError
from rehearse.sound_server import behind
from rehearse.speak.sound import Rendered, Sound

_LATENCY_SECONDS = 0.1  # asked of the device: how soon a cut is heard, against drop-outs
_BLOCK_SECONDS = 0.02  # between two looks whether the sound was cut
_LOOK_SECONDS = 0.005  # between two looks whether the device takes a block
_CUT_SECONDS = 0.1  # for a device that takes nothing, once the sound is cut
# Silence before the first sample: a stream that starts drops as much (measured: 0.05 s).
_LEAD_SECONDS = 0.08
_FADE_SECONDS = 0.015  # of a sound that is cut: short, and without a click
# Silence after the last sample: a stream that ends drops what the sound server still holds, and
# without it the last word was cut (measured through PulseAudio: 0.13 s were missing).
_TAIL_SECONDS = 0.25
# Of the silence after the last sample, so much is taken when that sample is heard: what the device
# was asked to hold.
_HELD_SECONDS = _LATENCY_SECONDS
_STALL_SECONDS = 4.0  # how much longer than the sound itself playing may take
_OPEN_SECONDS = 8.0  # a sound server that does not answer
_MEND = "connect a loudspeaker and run 'rehearse doctor'"


class Player(Protocol):
    """Plays sounds, one at a time."""

    def play(
        self,
        sound: Rendered,
        begun: Callable[[], None],
        cut: threading.Event,
        ended: Callable[[], None] | None = None,
    ) -> bool:
        """Play to the end, or until `cut` is set; True when it was played to the end.

        `begun` is called when the device takes the first samples, `ended` when the last one of
        a sound that was not cut has been heard. Returns once the device is closed, later.

        Raises:
            SoundError: there is no loudspeaker, or it fails.
        """
        ...


@dataclass(frozen=True)
class Loudspeaker:
    """One output device, by number or part of its name; None for the system's default."""

    device: int | str | None = None

    def hardware(self) -> str:
        """The device as the system names it, whichever the default is now. Raises SoundError."""
        return behind(_described(_sounddevice(), self.device)[0], "sink")

    def play(
        self,
        sound: Rendered,
        begun: Callable[[], None],
        cut: threading.Event,
        ended: Callable[[], None] | None = None,
    ) -> bool:
        """See `Player.play`."""
        sounddevice = _sounddevice()
        name, rate, channels = _described(sounddevice, self.device)
        samples = resampled(sound, rate)
        over = threading.Event()
        outcome: list[bool | BaseException] = []

        def run() -> None:
            try:
                with sounddevice.OutputStream(
                    device=self.device,
                    samplerate=rate,
                    channels=channels,
                    dtype="float32",
                    latency=_LATENCY_SECONDS,
                ) as stream:
                    begun()
                    pour = _Pour(stream, rate, channels, cut, over)
                    outcome.append(_played(samples, rate, cut, pour, ended))
                    if cut.is_set():
                        stream.abort()  # to stop it would wait for a device that is asleep
            except (sounddevice.PortAudioError, ValueError) as error:
                outcome.append(error)
            finally:
                over.set()

        # In a thread of its own: a device that is gone can block for good.
        threading.Thread(target=run, daemon=True, name="loudspeaker").start()
        if not over.wait(sound.seconds + _STALL_SECONDS + _OPEN_SECONDS):
            over.set()
            raise SoundError(f"{name}: the loudspeaker takes no sound; {_MEND}")
        if not outcome:
            return False
        if isinstance(outcome[0], BaseException):
            first_line = str(outcome[0]).splitlines()[0]
            raise SoundError(f"{name}: cannot be played on ({first_line}); {_MEND}")
        return outcome[0]


class _Output(Protocol):
    """What is used of sounddevice's stream."""

    write_available: int

    def write(self, block: npt.NDArray[np.float32]) -> object:
        """Hand samples over, shape (frames, channels); blocks when there is no room for them."""
        ...


class _Pour:
    """Writes mono samples to a device as it takes them, and never blocks inside it.

    A device that is asleep or gone takes nothing: then nothing is waited for once the sound is
    cut, or whoever waits for it has given up.
    """

    def __init__(
        self,
        stream: _Output,
        rate: float,
        channels: int,
        cut: threading.Event,
        over: threading.Event,
    ) -> None:
        self._stream = stream
        self._size = max(1, int(_BLOCK_SECONDS * rate))
        self._channels = channels
        self._cut = cut
        self._over = over

    def __call__(self, samples: Sound) -> None:
        for at in range(0, len(samples), self._size):
            block = samples[at : at + self._size]
            if not self._room(len(block)):
                return
            self._stream.write(np.repeat(block[:, np.newaxis], self._channels, axis=1))

    def _room(self, frames: int) -> bool:
        """Wait until the device takes so many frames; False when it is no longer waited for."""
        since = time.monotonic()
        while self._stream.write_available < frames and not self._over.is_set():
            if self._cut.is_set() and time.monotonic() - since > _CUT_SECONDS:
                return False
            time.sleep(_LOOK_SECONDS)
        return not self._over.is_set()


def _played(
    samples: Sound,
    rate: float,
    cut: threading.Event,
    pour: Callable[[Sound], None],
    ended: Callable[[], None] | None = None,
) -> bool:
    """Pour a sound block by block, faded out once it is cut; True when all of it went out.

    The device takes the blocks as it plays them. PortAudio's other way, asking for blocks in a
    callback, lost every second prompt through PulseAudio: once it had been late, each block it
    asked for was dropped.
    """
    size = max(1, int(_BLOCK_SECONDS * rate))
    tail = np.zeros(int(_TAIL_SECONDS * rate), np.float32)
    pour(np.zeros(int(_LEAD_SECONDS * rate), np.float32))
    for at in range(0, len(samples), size):
        if cut.is_set():
            pour(faded(samples[at:], max(1, int(_FADE_SECONDS * rate))))
            pour(tail)
            return False
        pour(samples[at : at + size])
    held = int(_HELD_SECONDS * rate)
    pour(tail[:held])
    if ended is not None:
        ended()
    pour(tail[held:])
    return True


def faded(samples: Sound, length: int) -> Sound:
    """The first samples, falling to nothing within `length` samples; the rest is left out."""
    head = samples[:length]
    slope = np.linspace(1.0, 0.0, num=length, dtype=np.float32)[: len(head)]
    return np.asarray(head * slope, dtype=np.float32)


def resampled(sound: Rendered, rate: float) -> Sound:
    """The samples at the device's own rate."""
    if rate == sound.rate:
        return sound.samples
    import soxr

    return np.asarray(soxr.resample(sound.samples, sound.rate, rate), dtype=np.float32)


def _sounddevice() -> ModuleType:
    try:
        return importlib.import_module("sounddevice")
    except OSError as error:
        raise SoundError(
            "the PortAudio library is missing; install it ('apt-get install libportaudio2')"
        ) from error


def _described(sounddevice: ModuleType, device: int | str | None) -> tuple[str, float, int]:
    """The device's name, the rate to play at and how many channels to fill."""
    try:
        row: dict[str, Any] = sounddevice.query_devices(device, "output")
    except (sounddevice.PortAudioError, ValueError) as error:
        missing = "no loudspeaker found" if device is None else f"no loudspeaker named '{device}'"
        raise SoundError(f"{missing}: prompts are shown, not spoken; {_MEND}") from error
    channels = max(1, min(2, int(row["max_output_channels"])))
    return str(row["name"]), float(row["default_samplerate"]), channels
