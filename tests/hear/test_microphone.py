from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from rehearse.errors import SoundError
from rehearse.hear import microphone
from rehearse.hear.microphone import Microphone, input_devices
from rehearse.hear.recogniser import RATE

SOUNDS = Path(__file__).parent / "sounds"


class PortAudioError(Exception):
    """What the library raises."""


@dataclass
class FakeStream:
    """Delivers its blocks at once when started, then nothing more, as an unplugged device."""

    callback: Callable[..., None]
    blocks: list[tuple[np.ndarray[Any, np.dtype[np.float32]], bool]]
    closed: bool = False

    def start(self) -> None:
        """Deliver all blocks."""
        for samples, overflow in self.blocks:
            status = SimpleNamespace(input_overflow=overflow)
            self.callback(samples, len(samples), None, status)

    def abort(self, *, ignore_errors: bool) -> None:
        """Stop."""
        assert ignore_errors

    def close(self, *, ignore_errors: bool) -> None:
        """Release the device."""
        assert ignore_errors
        self.closed = True


@dataclass
class FakeSystem:
    """A sound system in place of the `sounddevice` module."""

    devices: list[dict[str, Any]] = field(default_factory=list)
    blocks: list[tuple[np.ndarray[Any, np.dtype[np.float32]], bool]] = field(default_factory=list)
    opened: list[dict[str, Any]] = field(default_factory=list)
    refuses: str = ""
    mono: bool = True
    PortAudioError: type[Exception] = PortAudioError
    default: SimpleNamespace = field(default_factory=lambda: SimpleNamespace(device=(0, 0)))
    streams: list[FakeStream] = field(default_factory=list)

    def query_devices(self, device: object = None, kind: str | None = None) -> Any:  # noqa: ANN401
        """All devices, or the one asked for."""
        if kind is None:
            return self.devices
        for row in self.devices:
            if device is None or device in row["name"]:
                return row
        raise PortAudioError("Error querying device -1")

    def check_input_settings(self, *, channels: int, **_others: object) -> None:
        """Refuse one channel on devices that only open with all of theirs."""
        if channels == 1 and not self.mono:
            raise PortAudioError("Invalid number of channels")

    def InputStream(self, *, callback: Callable[..., None], **how: Any) -> FakeStream:  # noqa: N802, ANN401
        """Open the device."""
        if self.refuses:
            raise PortAudioError(self.refuses)
        self.opened.append(how)
        stream = FakeStream(callback, self.blocks)
        self.streams.append(stream)
        return stream


def _device(name: str, channels: int = 2, rate: float = 48000.0) -> dict[str, Any]:
    return {"name": name, "max_input_channels": channels, "default_samplerate": rate}


def _blocks(seconds: float, rate: int, channels: int = 1) -> list[Any]:
    size = rate // 32
    tone = 0.3 * np.sin(2 * np.pi * 440 * np.arange(int(seconds * rate)) / rate)
    shaped = np.repeat(tone.astype(np.float32)[:, None], channels, axis=1)
    return [(shaped[at : at + size], False) for at in range(0, len(shaped), size)]


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> FakeSystem:
    """A sound system with one microphone that runs at 48 kHz."""
    fake = FakeSystem([_device("Loudspeaker", channels=0), _device("USB headset")])
    monkeypatch.setattr(microphone, "_sounddevice", lambda: fake)
    monkeypatch.setattr(microphone, "_SILENT_DEVICE_SECONDS", 0.2)
    return fake


def test_the_devices_rate_is_converted(system: FakeSystem) -> None:
    """Sound at 48 kHz arrives at the recogniser's rate, in order, by the sample clock."""
    system.blocks = _blocks(2.0, 48000)
    with closing(Microphone("USB").chunks()) as chunks:
        heard = list(islice(chunks, 50))
    assert system.opened[0]["samplerate"] == 48000.0
    sound = np.concatenate([chunk.samples for chunk in heard])
    assert heard[1].time == heard[0].samples.size / RATE
    peak = int(np.abs(np.fft.rfft(sound)).argmax()) / (sound.size / RATE)
    assert peak == pytest.approx(440, abs=3)


def test_all_channels_are_mixed_where_one_cannot_be_had(system: FakeSystem) -> None:
    """A device that opens only with both channels is still heard in mono."""
    system.mono = False
    system.blocks = _blocks(1.0, 48000, channels=2)
    with closing(Microphone("USB").chunks()) as chunks:
        chunk = next(chunk for chunk in chunks if chunk.samples.size)
    assert system.opened[0]["channels"] == 2
    assert chunk.samples.ndim == 1


def test_dropped_samples_are_marked_on_the_chunk(system: FakeSystem) -> None:
    """An overflow is data on the chunk that follows it; the sound goes on."""
    system.blocks = _blocks(1.0, 48000)
    samples, _ = system.blocks[10]
    system.blocks[10] = (samples, True)
    with closing(Microphone("USB").chunks()) as chunks:
        marked = [chunk.lost is not None for chunk in islice(chunks, 20)]
    assert marked.count(True) == 1


def test_a_device_that_stops_delivering_is_an_error(system: FakeSystem) -> None:
    """Unplugged in mid-take: one line that tells when, and the device is released."""
    system.blocks = _blocks(1.0, 48000)
    with pytest.raises(SoundError, match=r"stopped delivering sound after 1\.0 s; plug it in"):
        list(Microphone("USB").chunks())
    assert system.streams[0].closed


def test_a_missing_device_is_an_error(system: FakeSystem) -> None:
    """No microphone, or none of that name, is one line with a mend."""
    with pytest.raises(SoundError, match="no microphone named 'Gooseneck'; plug"):
        list(Microphone("Gooseneck").chunks())
    system.devices.clear()
    with pytest.raises(SoundError, match="no microphone found; plug"):
        list(Microphone().chunks())


def test_a_device_in_use_is_an_error(system: FakeSystem) -> None:
    """A device that cannot be opened names the library's reason in one line."""
    system.refuses = "Device unavailable [PaErrorCode -9985]\nmore"
    with pytest.raises(SoundError, match=r"cannot be opened \(Device unavailable") as caught:
        list(Microphone("USB").chunks())
    assert "\n" not in str(caught.value)


def test_a_sound_system_that_hangs_is_an_error(
    system: FakeSystem, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Opening never blocks the tool for good."""
    monkeypatch.setattr(microphone, "_OPEN_SECONDS", 0.1)

    def hang(*_arguments: object) -> None:
        time.sleep(2)

    monkeypatch.setattr(system, "query_devices", hang)
    with pytest.raises(SoundError, match="does not answer"):
        list(Microphone("USB").chunks())


def test_a_missing_library_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without PortAudio the line names the package to install."""

    def missing(_name: str) -> None:
        raise OSError("PortAudio library not found")

    monkeypatch.setattr("importlib.import_module", missing)
    with pytest.raises(SoundError, match="libportaudio2"):
        list(Microphone().chunks())


def test_only_inputs_are_listed(system: FakeSystem) -> None:
    """The doctor's list holds what sound can be heard from, with the default marked."""
    system.default.device = (1, 0)
    (device,) = input_devices()
    assert (device.name, device.number, device.default) == ("USB headset", 1, True)


@pytest.fixture
def sound_server(tmp_path: Path) -> Iterator[tuple[dict[str, str], subprocess.Popen[bytes]]]:
    """A PulseAudio daemon of our own whose default source is the monitor of a null sink."""
    home = tmp_path / "home"
    run = tmp_path / "run"
    home.mkdir()
    run.mkdir(mode=0o700)
    (home / ".asoundrc").write_text("pcm.!default { type pulse }\nctl.!default { type pulse }\n")
    environment = os.environ | {
        "HOME": str(home), "PULSE_RUNTIME_PATH": str(run), "XDG_RUNTIME_DIR": str(run),
        "PYTHONPATH": str(Path(__file__).parents[2]),
    }  # fmt: skip
    daemon = subprocess.Popen(
        ["pulseaudio", "--daemonize=no", "--exit-idle-time=-1", "-n",
         "--load=module-native-protocol-unix", "--load=module-null-sink sink_name=room"],
        env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        for _ in range(100):
            ready = subprocess.run(
                ["pactl", "set-default-source", "room.monitor"],
                env=environment, capture_output=True, check=False,
            )  # fmt: skip
            if ready.returncode == 0:
                break
            time.sleep(0.1)
        assert ready.returncode == 0, ready.stderr
        yield environment, daemon
    finally:
        daemon.kill()
        daemon.wait(10)


LISTENS = textwrap.dedent("""
    import sys
    from rehearse.errors import SoundError
    from rehearse.hear.microphone import Microphone
    heard = loudest = 0
    told = False
    try:
        for chunk in Microphone().chunks():
            heard += chunk.samples.size
            if chunk.samples.size:
                loudest = max(loudest, float(abs(chunk.samples).max()))
            if heard > 16000 and loudest > 0.05 and not told:
                print("heard", flush=True)
                told = True
    except SoundError as error:
        print(error, flush=True)
""")


@pytest.mark.live
def test_a_real_device_is_heard_and_its_end_is_told(
    sound_server: tuple[dict[str, str], subprocess.Popen[bytes]],
) -> None:
    """Speech played into a real capture device arrives; killing the device ends with one line."""
    assert shutil.which("paplay"), "the live tests need pulseaudio-utils"
    environment, daemon = sound_server
    listening = subprocess.Popen(
        [sys.executable, "-c", LISTENS],
        env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    assert listening.stdout is not None
    clip = SOUNDS / "check-both-panes.flac"
    player = subprocess.Popen(
        ["bash", "-c", 'while paplay --device=room "$0"; do :; done', str(clip)],
        env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        assert listening.stdout.readline().strip() == "heard"
        daemon.send_signal(signal.SIGKILL)
        assert "stopped delivering sound" in listening.stdout.readline()
        assert listening.wait(30) == 0
    finally:
        player.kill()
        listening.kill()
        player.wait(10)
        listening.wait(10)
