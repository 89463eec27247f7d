"""A practice on real devices: a sound server of our own, a trainee who speaks into it, and an ear.

PulseAudio has two null sinks: what is played into `room` the tool hears as its microphone, and
what the tool plays into `loudspeaker` is recorded from there.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

ROOT = Path(__file__).parents[2]
SOUNDS = Path(__file__).parent / "sounds"
PROCEDURE = ROOT / "procedures" / "tarn-240" / "arm-door-2l.yaml"
RATE = 16000
PATIENCE = 90.0  # seconds until a happening counts as missing; a busy machine is slow, not wrong

Row = dict[str, Any]


class SoundServer:
    """A PulseAudio daemon; `environment` leads programs to it, their home is `home`."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._socket = home / "native"
        (home / ".asoundrc").write_text(
            "pcm.!default { type pulse }\nctl.!default { type pulse }\n", encoding="utf-8"
        )
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("PULSE_")},
            "HOME": str(home),
            "PULSE_RUNTIME_PATH": str(home / "runtime"),
            "PULSE_SERVER": f"unix:{self._socket}",
            "XDG_RUNTIME_DIR": str(home),
            "XDG_CACHE_HOME": str(home / "cache"),
            "XDG_CONFIG_HOME": str(home / "config"),
            "XDG_DATA_HOME": str(home / "share"),
            "PYTHONPATH": str(ROOT),
            "COLUMNS": "80",
        }
        self._daemon = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
             f"--load=module-native-protocol-unix auth-anonymous=1 socket={self._socket}",
             "--load=module-null-sink sink_name=room rate=48000",
             "--load=module-null-sink sink_name=loudspeaker rate=48000"],
            env=self.environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def wait(self) -> None:
        """Until programs can use it; what they take for microphone and loudspeaker is set."""
        until = time.monotonic() + 20
        while self._control("info", check=False).returncode:
            assert time.monotonic() < until, "the PulseAudio daemon did not start"
            time.sleep(0.1)
        self._control("set-default-source", "room.monitor")
        self._control("set-default-sink", "loudspeaker")
        # A null sink that nobody reads sleeps two seconds at a time; a microphone does not.
        self._awake = subprocess.Popen(
            ["parec", "--device=room.monitor", "--latency-msec=20"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=self.environment,
        )

    def leak(self, decibels: float, milliseconds: int = 30) -> None:
        """From now on the microphone hears the loudspeaker, this much quieter or louder, later."""
        self._control("load-module", "module-loopback", "source=loudspeaker.monitor", "sink=room",
                      f"latency_msec={milliseconds}")  # fmt: skip
        (stream,) = self._control("list", "short", "sink-inputs").stdout.splitlines()
        self._control("set-sink-input-volume", stream.split()[0], f"{decibels}dB")

    def speak(self, clip: str, milliseconds: int = 50) -> None:
        """Say one of the clips into the room; returns when it has been said.

        milliseconds: held by the sound server; more of them are safer against gaps, and later.
        """
        latency = f"--latency-msec={milliseconds}"
        subprocess.run(
            ["paplay", "--device=room", latency, str(SOUNDS / f"{clip}.flac")],
            env=self.environment,
            timeout=60,
            check=True,
        )

    def _control(self, *arguments: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["pactl", *arguments],
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=20,
            check=check,
        )

    def close(self) -> None:
        """End the daemon."""
        self._daemon.kill()
        self._daemon.wait(10)
        self._awake.wait(10)


class Ear:
    """Records what the loudspeaker plays; second n of the sound is `began` + n by the clock."""

    def __init__(self, server: SoundServer) -> None:
        self._parec = subprocess.Popen(
            ["parec", "--device=loudspeaker.monitor", "--format=s16le", f"--rate={RATE}",
             "--channels=1", "--latency-msec=50"],
            stdout=subprocess.PIPE,
            env=server.environment,
        )  # fmt: skip
        self._blocks: list[bytes] = []
        self._first = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        assert self._first.wait(20), "nothing arrives from the loudspeaker's monitor"

    def _read(self) -> None:
        assert self._parec.stdout is not None
        while raw := self._parec.stdout.read(RATE // 10 * 2):
            self._blocks.append(raw)
            self._first.set()

    @property
    def seconds(self) -> float:
        """How much has been recorded."""
        return sum(map(len, self._blocks)) / 2 / RATE

    def sound(self, since: float = 0.0, until: float | None = None) -> npt.NDArray[np.float32]:
        """What was recorded between two of its seconds."""
        samples = np.frombuffer(b"".join(self._blocks), dtype="<i2").astype(np.float32) / 32768.0
        return samples[int(since * RATE) : None if until is None else int(until * RATE)]

    def close(self) -> None:
        """Stop recording."""
        self._parec.kill()
        self._parec.wait(10)
        self._reader.join(10)
        assert self._parec.stdout is not None
        self._parec.stdout.close()


class Session:
    """One `rehearse practise`, or another command that makes a take, while it runs.

    What happens in it is read from its take's log. program: what Python runs. environment: what
    is added to the server's; with one the program has an input to which `type_in` writes.
    """

    def __init__(
        self,
        server: SoundServer,
        takes: Path,
        *options: str,
        command: tuple[str, ...] = ("practise", str(PROCEDURE)),
        program: tuple[str, ...] = ("-m", "rehearse"),
        environment: dict[str, str] | None = None,
    ) -> None:
        self.server = server
        self.takes = takes
        self._read = 0  # rows that were waited for
        self._out = (takes.parent / f"{takes.name}.out").open("w+", encoding="utf-8")
        self._err = (takes.parent / f"{takes.name}.err").open("w+", encoding="utf-8")
        self.program = subprocess.Popen(
            [sys.executable, *program, *command, "--takes", str(takes), *options],
            cwd=ROOT,
            env={**server.environment, **(environment or {})},
            stdout=self._out,
            stderr=self._err,
            stdin=subprocess.DEVNULL if environment is None else subprocess.PIPE,
        )

    def type_in(self, line: str) -> None:
        """Type a line and Enter."""
        assert self.program.stdin is not None
        self.program.stdin.write(f"{line}\n".encode())
        self.program.stdin.flush()

    @property
    def take(self) -> Path:
        """The folder of the take; there must be exactly one."""
        (folder,) = self.takes.iterdir()
        return folder

    def rows(self) -> list[Row]:
        """Every event in the log by now."""
        logs = [*self.takes.glob("*/take.jsonl"), *self.takes.glob("*/drill.jsonl")]
        if not logs:
            return []
        lines = logs[0].read_text("utf-8").split("\n")[:-1]
        return [row for row in map(json.loads, lines) if "event" in row]

    def wait_for(self, what: str, fits: Callable[[Row], bool]) -> Row:
        """The next event that fits, after the one that was waited for last."""
        until = time.monotonic() + PATIENCE
        while True:
            ended = self.program.poll() is not None
            rows = self.rows()
            for at in range(self._read, len(rows)):
                if fits(rows[at]):
                    self._read = at + 1
                    return rows[at]
            seen = "\n".join(map(str, rows[self._read :]))
            assert not ended, f"ended before {what}; since the last:\n{seen}\n{self.complaint()}"
            assert time.monotonic() < until, f"no {what} came; since the last:\n{seen}"
            time.sleep(0.05)

    def hear(self, purpose: str) -> str:
        """Wait until the tool has said something for this purpose; its text."""
        text: str = self.wait_for(
            f"prompt ({purpose})",
            lambda row: row["event"] == "PromptStarted" and row["purpose"] == purpose,
        )["text"]
        self.wait_for(f"end of the prompt ({purpose})", lambda row: row["event"] == "PromptEnded")
        return text

    def say(self, clip: str) -> Row:
        """Speak as the trainee; the event it was understood as."""
        time.sleep(0.6)  # hearing opens a moment after the tool has spoken
        self.server.speak(clip)
        return self.wait_for(
            f"end of {clip}", lambda row: row["event"] in {"Heard", "Ghost", "Requested"}
        )

    def end(self) -> int:
        """Wait until the program has ended; its exit status."""
        return self.program.wait(PATIENCE)

    def screen(self) -> str:
        """What it printed by now."""
        return _content(self._out.name)

    def complaint(self) -> str:
        """What it printed to stderr by now."""
        return _content(self._err.name)

    def close(self) -> None:
        """Make sure that it has ended."""
        if self.program.poll() is None:
            self.program.kill()
        self.program.wait(10)
        self._out.close()
        self._err.close()


def _content(name: str) -> str:
    return Path(name).read_text("utf-8")


@pytest.fixture(scope="module")
def sound_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[], SoundServer]]:
    """Starts sound servers, which end with the module's tests."""
    if shutil.which("pulseaudio") is None:
        pytest.skip("needs PulseAudio: apt-get install pulseaudio pulseaudio-utils")
    servers: list[SoundServer] = []

    def start() -> SoundServer:
        servers.append(SoundServer(tmp_path_factory.mktemp("sound")))
        servers[-1].wait()
        return servers[-1]

    yield start
    for server in servers:
        server.close()


@pytest.fixture(scope="module")
def practise(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Session]]:
    """Starts practices on a sound server, with options; they end with the module's tests."""
    folder = tmp_path_factory.mktemp("practices")
    sessions: list[Session] = []

    def start(server: SoundServer, *options: str) -> Session:
        sessions.append(Session(server, folder / f"takes-{len(sessions)}", *options))
        return sessions[-1]

    yield start
    for session in sessions:
        session.close()


@pytest.fixture(scope="module")
def ear_of() -> Iterator[Callable[[SoundServer], Ear]]:
    """Begins to record what a sound server's loudspeaker plays; ends with the module's tests."""
    ears: list[Ear] = []

    def start(server: SoundServer) -> Ear:
        ears.append(Ear(server))
        return ears[-1]

    yield start
    for ear in ears:
        ear.close()
