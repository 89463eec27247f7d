"""The loudspeaker, through PortAudio: plays one sound, says when it begins, stops at once.

Each sound gets a stream of its own, so that a loudspeaker plugged in later is used and one that
goes away costs one prompt. A device that takes no more samples is a `SoundError`, never a hang.
"""

from __future__ import annotations

import importlib
import threading
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from rehearse.errors import SoundError
from rehearse.speak.sound import Rendered, Sound

_LATENCY_SECONDS = 0.1  # asked of the device: how soon a cut is heard, against drop-outs
_FADE_SECONDS = 0.015  # of a sound that is cut: short, and without a click
# Silence after the last sample: a stream that ends drops what the sound server still holds, and
# without it the last word was cut (measured through PulseAudio: 0.13 s were missing).
_TAIL_SECONDS = 0.25
_STALL_SECONDS = 4.0  # how much longer than the sound itself playing may take
_OPEN_SECONDS = 8.0  # a sound server that does not answer
_MEND = "connect a loudspeaker and run 'rehearse doctor'"


class Player(Protocol):
    """Plays sounds, one at a time."""

    def play(self, sound: Rendered, begun: Callable[[], None], cut: threading.Event) -> bool:
        """Play to the end, or until `cut` is set; True when it was played to the end.

        `begun` is called when the device takes the first samples. Returns once the last one
        has left the device.

        Raises:
            SoundError: there is no loudspeaker, or it fails.
        """
        ...


@dataclass(frozen=True)
class Loudspeaker:
    """One output device, by number or part of its name; None for the system's default."""

    device: int | str | None = None

    def play(self, sound: Rendered, begun: Callable[[], None], cut: threading.Event) -> bool:
        """See `Player.play`."""
        sounddevice = _sounddevice()
        name, rate, channels = _described(sounddevice, self.device)
        playing = _Playing(resampled(sound, rate), rate, begun, cut, sounddevice.CallbackStop)
        trouble: list[BaseException] = []

        def run() -> None:
            try:
                with sounddevice.OutputStream(
                    device=self.device,
                    samplerate=rate,
                    channels=channels,
                    dtype="float32",
                    latency=_LATENCY_SECONDS,
                    callback=playing.fill,
                    finished_callback=playing.drained.set,
                ):
                    playing.drained.wait()
            except (sounddevice.PortAudioError, ValueError) as error:
                trouble.append(error)
                playing.drained.set()

        # In a thread of its own: opening or closing a device that is gone can block for good.
        threading.Thread(target=run, daemon=True, name="loudspeaker").start()
        longest = sound.seconds + _STALL_SECONDS + _OPEN_SECONDS
        if not playing.drained.wait(longest):
            playing.drained.set()
            raise SoundError(f"{name}: the loudspeaker takes no sound; {_MEND}")
        if trouble:
            first_line = str(trouble[0]).splitlines()[0]
            raise SoundError(f"{name}: cannot be played on ({first_line}); {_MEND}")
        return playing.complete


class _Playing:
    """One sound on its way to the device: fills the device's blocks until it ends or is cut."""

    def __init__(
        self,
        samples: Sound,
        rate: float,
        begun: Callable[[], None],
        cut: threading.Event,
        stop: type[Exception],
    ) -> None:
        self._samples = samples
        self._fade = max(1, int(_FADE_SECONDS * rate))
        self._begun = begun
        self._cut = cut
        self._stop = stop
        self._at = 0
        self._tail = int(_TAIL_SECONDS * rate)
        self._told = self._fading = False
        self.complete = False
        self.drained = threading.Event()

    def fill(
        self, block: npt.NDArray[np.float32], frames: int, _time: object, _status: object
    ) -> None:
        """PortAudio's callback. block: shape (frames, channels), to be filled."""
        if self.drained.is_set():  # given up by whoever waited
            block[:] = 0.0
            raise self._stop
        if not self._told:
            self._told = True
            self._begun()
        if self._cut.is_set() and not self._fading and self._at < len(self._samples):
            self._fading = True
            self._samples = faded(self._samples[self._at :], self._fade)
            self._at = 0
        left = self._samples[self._at : self._at + frames]
        block[: len(left)] = left[:, np.newaxis]
        block[len(left) :] = 0.0
        self._at += len(left)
        self._tail -= frames - len(left)
        if self._tail <= 0:
            self.complete = not self._fading
            raise self._stop


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
