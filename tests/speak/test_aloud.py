"""The tool is really heard: what it says comes out of the loudspeaker, and stops when told.

A PulseAudio daemon of our own has a null sink for a loudspeaker; its monitor is recorded.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

pytestmark = pytest.mark.live

RATE = 16000
AUDIBLE = 0.005  # of full scale


@dataclass(frozen=True)
class SoundServer:
    """A PulseAudio daemon with one null sink; `environment` leads programs to it."""

    environment: dict[str, str]
    sink: str

    def run(self, program: Path, *arguments: str) -> str:
        """What the program printed; it runs with this server as its sound system."""
        done = subprocess.run(
            [sys.executable, str(program), *arguments],
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout


class Recorder:
    """Records what the loudspeaker plays, with the time at which each block arrived."""

    def __init__(self, server: SoundServer) -> None:
        self._parec = subprocess.Popen(
            ["parec", f"--device={server.sink}.monitor", "--format=s16le", f"--rate={RATE}",
             "--channels=1", "--latency-msec=20"],
            stdout=subprocess.PIPE,
            env=server.environment,
        )  # fmt: skip
        self._blocks: list[tuple[float, npt.NDArray[np.float32]]] = []
        self._first = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        assert self._first.wait(10), "nothing arrives from the sink's monitor"

    def _read(self) -> None:
        assert self._parec.stdout is not None
        while raw := self._parec.stdout.read(RATE // 100 * 2):
            samples = np.frombuffer(raw[: len(raw) // 2 * 2], dtype="<i2")
            self._blocks.append((time.monotonic(), samples.astype(np.float32) / 32768.0))
            self._first.set()

    def finish(self) -> tuple[npt.NDArray[np.float32], float, float]:
        """The sound, and when its first and last audible block arrived (NaN for silence)."""
        self._parec.terminate()
        self._parec.wait(10)
        self._reader.join(10)
        assert self._parec.stdout is not None
        self._parec.stdout.close()
        loud = [at for at, block in self._blocks if np.abs(block).max(initial=0.0) > AUDIBLE]
        first, last = (loud[0], loud[-1]) if loud else (np.nan, np.nan)
        return np.concatenate([block for _, block in self._blocks]), first, last


@pytest.fixture(scope="module")
def sound_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SoundServer]:
    """A running daemon, ended afterwards."""
    if shutil.which("pulseaudio") is None:
        pytest.skip("needs PulseAudio: apt-get install pulseaudio pulseaudio-utils")
    home = tmp_path_factory.mktemp("pulse")
    socket = home / "native"
    (home / ".asoundrc").write_text(
        "pcm.!default { type pulse }\nctl.!default { type pulse }\n", encoding="utf-8"
    )
    environment = {
        **os.environ,
        "HOME": str(home),
        "PULSE_RUNTIME_PATH": str(home / "runtime"),
        "PULSE_SERVER": f"unix:{socket}",
        "XDG_CACHE_HOME": str(home / "cache"),
        "XDG_CONFIG_HOME": str(home / "config"),
        "PYTHONPATH": str(Path(__file__).parents[2]),
    }
    daemon = subprocess.Popen(
        ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
         f"--load=module-native-protocol-unix auth-anonymous=1 socket={socket}",
         "--load=module-null-sink sink_name=loudspeaker rate=48000",
         ],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        until = time.monotonic() + 20
        while time.monotonic() < until and daemon.poll() is None:
            asked = subprocess.run(
                ["pactl", "info"], env=environment, capture_output=True, timeout=10, check=False
            )
            if asked.returncode == 0:
                break
            time.sleep(0.1)
        else:
            pytest.fail("the PulseAudio daemon did not start")
        yield SoundServer(environment, "loudspeaker")
    finally:
        daemon.terminate()
        daemon.wait(10)


_PROGRAM = Path(__file__).with_name("say_aloud.py")
_MODEL = Path(__file__).parents[2] / "models" / "whisper-base-int8"


@dataclass(frozen=True, eq=False)
class Spoken:
    """What one run of `say_aloud.py` printed, and what the loudspeaker played meanwhile.

    first, last: when the first and the last audible block arrived, by the program's clock.
    """

    events: list[dict[str, Any]]
    seconds: float
    stopped: float | None
    trouble: str
    sound: npt.NDArray[np.float32]
    first: float
    last: float

    @property
    def stretches(self) -> list[float]:
        """Seconds of each stretch of sound, parted by at least a fifth of a second of silence."""
        loud = np.flatnonzero(np.abs(self.sound) > AUDIBLE)
        parts = np.split(loud, np.flatnonzero(np.diff(loud) > RATE // 5) + 1)
        return [float(part[-1] - part[0]) / RATE for part in parts]


def spoken(server: SoundServer, *arguments: str) -> Spoken:
    """Run the program while the loudspeaker is recorded."""
    recorder = Recorder(server)
    try:
        lines = server.run(_PROGRAM, *arguments).splitlines()
        time.sleep(0.5)
    finally:
        sound, first, last = recorder.finish()
    *events, summary = map(json.loads, lines)
    return Spoken(events=events, **summary, sound=sound, first=first, last=last)


def test_what_is_said_is_what_is_heard(sound_server: SoundServer) -> None:
    """The loudspeaker plays the very words, between the start and the end that are reported."""
    # Sentences that the speech model hears rightly in this voice, so that a slip is the path's.
    text = "Take your time. I did not catch that clearly. Please say that step once more."
    said = spoken(sound_server, text, "1")
    assert said.trouble == ""
    started, ended = said.events
    assert (started["event"], started["text"]) == ("PromptStarted", text)
    assert (ended["event"], ended["finished"]) == ("PromptEnded", True)
    assert said.last - said.first == pytest.approx(said.seconds, abs=0.2)
    assert -0.05 <= said.first - started["time"] < 0.5
    assert -0.05 <= ended["time"] - said.last < 0.5
    assert words(transcribed(said.sound)) == words(text)


def test_prompts_in_a_row_are_all_heard(sound_server: SoundServer) -> None:
    """One prompt right after another loses nothing: as much sounds as was rendered."""
    said = spoken(sound_server, "What comes next?", "5")
    assert [event["event"] for event in said.events] == ["PromptStarted", "PromptEnded"] * 5
    assert said.stretches == pytest.approx([said.seconds - 0.06] * 5, abs=0.08)


def test_falls_silent_at_once(sound_server: SoundServer) -> None:
    """A prompt told to stop is silent within a third of a second, and is reported as cut."""
    text = "Check both witness panes show the amber band. Then check that the sill lamp is lit."
    said = spoken(sound_server, text, "1", "1.0")
    assert said.events[-1]["finished"] is False
    assert said.stopped is not None
    assert said.first < said.stopped
    assert said.last - said.stopped < 0.33
    assert -0.05 <= said.events[-1]["time"] - said.last < 0.5


def words(text: str) -> list[str]:
    """Lower-case words; digits as words."""
    return re.findall(r"[a-z']+", text.lower().replace("6", "six"))


def transcribed(sound: npt.NDArray[np.float32]) -> str:
    """What the speech model hears in it, without being told what to expect.

    The silence around the speech goes first: how much there was changes what the model prints.
    """
    from faster_whisper import WhisperModel

    model = WhisperModel(str(_MODEL), device="cpu", compute_type="int8", cpu_threads=2)
    loud = np.flatnonzero(np.abs(sound) > AUDIBLE)
    margin = RATE // 10
    speech = sound[max(0, loud[0] - margin) : loud[-1] + margin]
    segments, _ = model.transcribe(speech, language="en", beam_size=5, temperature=0.0)
    return " ".join(segment.text for segment in segments)
