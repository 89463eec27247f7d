"""The microphone as a source, through PortAudio.

The device's callback only puts blocks into a queue. A device that is missing, or that stops
delivering in the middle of a take, is a `SoundError` within seconds, never a hang; dropped
samples are data on the chunk.
"""

from __future__ import annotations

import importlib
import queue
import threading
import time
from collections.abc import Callable, Generator
from dataclasses import dataclass
from types import ModuleType
from typing import Protocol, TypeVar

import numpy as np
import numpy.typing as npt

from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk, Converter
from rehearse.sound_server import behind

_BLOCK_SECONDS = 0.032
_WAITING_SECONDS = 30.0  # sound a slow listener may leave waiting before it counts as lost
_SILENT_DEVICE_SECONDS = 2.0  # no callback for this long: the device is gone
_WAKING_SECONDS = 6.0  # the same for the first one: a wireless headset takes seconds to wake
_OPEN_SECONDS = 8.0  # a sound server that does not answer
_CLOSE_SECONDS = 1.0
_MEND_MISSING = "plug a microphone in and run 'rehearse doctor'"


_T = TypeVar("_T")


@dataclass(frozen=True)
class Microphone:
    """One input device, by number or part of its name; None for the system's default.

    `chunks` raises SoundError when the device is missing, cannot be opened, or stops.
    """

    device: int | str | None = None

    @property
    def name(self) -> str:
        """The device as the user named it."""
        return "default microphone" if self.device is None else str(self.device)

    def hardware(self) -> str:
        """The device as the system names it, whichever the default is now. Raises SoundError."""
        return behind(_describe(_sounddevice(), self.device)[0], "source")

    def chunks(self) -> Generator[Chunk, None, None]:
        """Sound from now on, some thirty milliseconds at a time, until the iterator is closed."""
        stream = _within(_OPEN_SECONDS, lambda: _Stream(self.device))
        if stream is None:
            raise SoundError(
                f"{self.name}: the sound system does not answer; restart it and try again"
            )
        try:
            yield from stream.chunks()
        finally:
            # Closing a device that is gone can block inside the driver for good.
            _within(_CLOSE_SECONDS, stream.close)


@dataclass(frozen=True)
class InputDevice:
    """One input device as PortAudio lists it; `rate` is what it prefers, in samples a second."""

    number: int
    name: str
    channels: int
    rate: float
    default: bool


def input_devices() -> tuple[InputDevice, ...]:
    """Every device sound can be heard from.

    Raises:
        SoundError: the PortAudio library is not installed or cannot start.
    """
    sounddevice = _sounddevice()
    try:
        listed = sounddevice.query_devices()
        default = sounddevice.default.device[0]
    except sounddevice.PortAudioError as error:
        raise SoundError(f"no sound devices: {_first_line(error)}; {_MEND_MISSING}") from error
    return tuple(
        InputDevice(
            number,
            str(row["name"]),
            int(row["max_input_channels"]),
            float(row["default_samplerate"]),
            number == default,
        )
        for number, row in enumerate(listed)
        if row["max_input_channels"] > 0
    )


@dataclass(frozen=True, eq=False)
class _Block:
    """What one callback delivered: shape (frames, channels), and whether samples were dropped."""

    samples: npt.NDArray[np.float32]
    overflow: bool
    arrived: float


class _Flags(Protocol):
    """What PortAudio says about a block."""

    input_overflow: bool


class _Stream:
    """An open device; its callback fills a queue that `chunks` empties."""

    def __init__(self, device: int | str | None) -> None:
        self._queue: queue.Queue[_Block] = queue.Queue(int(_WAITING_SECONDS / _BLOCK_SECONDS))
        self._dropped = False
        self._sounddevice = _sounddevice()
        self.name, rate, channels = _describe(self._sounddevice, device)
        self._rate = rate
        try:
            self._stream = self._sounddevice.InputStream(
                device=device,
                samplerate=rate,
                channels=channels,
                dtype="float32",
                blocksize=int(rate * _BLOCK_SECONDS),
                callback=self._arrived,
            )
            self._stream.start()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            raise SoundError(
                f"{self.name}: cannot be opened ({_first_line(error)}); close other programs "
                "that use it, or choose another device with 'rehearse doctor'"
            ) from error

    def _arrived(
        self, samples: npt.NDArray[np.float32], _frames: int, _time: object, status: _Flags
    ) -> None:
        block = _Block(
            samples.copy(), bool(status.input_overflow) or self._dropped, time.monotonic()
        )
        try:
            self._queue.put_nowait(block)
            self._dropped = False
        except queue.Full:
            self._dropped = True

    def chunks(self) -> Generator[Chunk, None, None]:
        converter = Converter(self._rate)
        delivered = 0
        began: float | None = None
        heard = 0.0  # seconds taken from the device, in its own rate
        lost = 0.0
        while True:
            block = self._next(heard)
            began = block.arrived if began is None else began
            missing: float | None = None
            if block.overflow:
                # Wall clock minus sample clock is what never arrived, plus some jitter.
                missing = max(0.0, block.arrived - began - heard - lost)
                lost += missing
            heard += len(block.samples) / self._rate
            samples = converter.convert(block.samples)
            if samples.size or missing is not None:
                yield Chunk(samples, delivered / RATE, missing)
                delivered += samples.size

    def _next(self, heard: float) -> _Block:
        try:
            return self._queue.get(timeout=_SILENT_DEVICE_SECONDS if heard else _WAKING_SECONDS)
        except queue.Empty:
            raise SoundError(
                f"{self.name}: the microphone stopped delivering sound after {heard:.1f} s; "
                "plug it in again and start over"
            ) from None

    def close(self) -> None:
        self._stream.abort(ignore_errors=True)
        self._stream.close(ignore_errors=True)


def _sounddevice() -> ModuleType:
    try:
        sounddevice = importlib.import_module("sounddevice")
    except OSError as error:
        raise SoundError(
            "the PortAudio library is missing; install it ('apt-get install libportaudio2')"
        ) from error
    return sounddevice


def _describe(sounddevice: ModuleType, device: int | str | None) -> tuple[str, float, int]:
    """The device's name, the rate to open it at and the channels to take."""
    try:
        row = sounddevice.query_devices(device, "input")
    except (sounddevice.PortAudioError, ValueError) as error:
        wanted = "no microphone found" if device is None else f"no microphone named '{device}'"
        raise SoundError(f"{wanted}; {_MEND_MISSING}") from error
    rate = float(row["default_samplerate"])
    channels = 1
    try:
        sounddevice.check_input_settings(
            device=device, channels=1, samplerate=rate, dtype="float32"
        )
    except (sounddevice.PortAudioError, ValueError):
        channels = int(row["max_input_channels"])
    return str(row["name"]), rate, channels


def _within(seconds: float, action: Callable[[], _T]) -> _T | None:
    """What `action` returns, or None when it takes longer; its exception is raised here."""
    outcome: list[_T | BaseException] = []

    def run() -> None:
        try:
            outcome.append(action())
        except BaseException as error:  # noqa: BLE001  (raised again in the caller's thread)
            outcome.append(error)

    thread = threading.Thread(target=run, daemon=True, name="sound device")
    thread.start()
    thread.join(seconds)
    if not outcome:
        return None
    if isinstance(outcome[0], BaseException):
        raise outcome[0]
    return outcome[0]


def _first_line(error: BaseException) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__
