"""A room measured on real devices: its noise, a voice and a loopback of known gain and delay."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile

from rehearse.hear.level import active_level
from rehearse.measured import Measured
from rehearse.room.values import Profile
from rehearse.session import delay, profiles
from tests.session.conftest import PATIENCE, RATE, ROOT, SOUNDS
from tests.session.hurrying import READ

if TYPE_CHECKING:
    from tests.session.conftest import SoundServer

    StartServer = Callable[[], SoundServer]

pytestmark = pytest.mark.live

NOISE = -62.0  # dB over full scale, of the room
GAIN = -14.0  # dB of the loopback
LATER = 0.25  # seconds that the loopback holds its sound
OWN = (0.05, 0.2)  # seconds that the devices take beside that: 0.085 in docs/measurements.md
SENTENCE = ("drum-right", "flap")
DEVICES = ("default (room.monitor)", "default (loudspeaker)")


@dataclass(frozen=True)
class Done:
    """What the half minute said and kept, and what `doctor` says afterwards."""

    status: int
    screen: str
    complaint: str
    profile: Profile
    latency: Measured
    afterwards: str


def hissing(server: SoundServer) -> subprocess.Popen[bytes]:
    """Noise of a known level in the room, from now on."""
    rate = 48000
    power = 10 ** (NOISE / 10) * rate / RATE  # a third of it lies where speech is looked for
    noise = np.random.default_rng(1).normal(0, np.sqrt(power), rate * 120)
    path = server.home / "noise.wav"
    soundfile.write(path, noise, rate)
    return subprocess.Popen(
        ["paplay", "--device=room", "--latency-msec=500", str(path)], env=server.environment
    )


def measured(server: SoundServer) -> Done:
    """`rehearse doctor --room`, and a trainee who reads when asked to."""
    program = subprocess.Popen(
        [sys.executable, str(Path(__file__).parent / "hurrying.py"), "doctor", "--room"],
        cwd=ROOT,
        env=server.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    assert program.stderr is not None
    screen = ""
    for line in program.stdout:
        screen += line
        if line.strip() == READ:
            time.sleep(2.0)  # so long it is spoken, and the room given time to become quiet
            for clip in SENTENCE:
                server.speak(clip, 400)
    complaint, status = program.stderr.read(), program.wait(PATIENCE)
    assert status == 0, complaint
    doctor = subprocess.run(
        [sys.executable, "-m", "rehearse", "doctor"],
        env={**server.environment, "COLUMNS": "400"},
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    kept, latency = profiles.kept(*DEVICES), delay.kept(*DEVICES)
    assert kept is not None, screen
    assert latency is not None, screen
    return Done(status, screen, complaint, kept, latency, doctor.stdout)


@pytest.fixture(scope="module")
def done(sound_server: StartServer) -> Iterator[Done]:
    """A room with noise in which the microphone hears the loudspeaker, quieter and later."""
    server = sound_server()
    server.leak(GAIN, int(LATER * 1000))
    noise = hissing(server)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", server.environment["XDG_DATA_HOME"])
        try:
            yield measured(server)
        finally:
            noise.kill()
            noise.wait(10)


def test_room_and_voice_are_those_put_in(done: Done) -> None:
    """On real devices another stretch would be measured, or the prompt in place of the trainee."""
    clips = [soundfile.read(SOUNDS / f"{clip}.flac", dtype="float32")[0] for clip in SENTENCE]
    level = active_level(np.concatenate(clips))
    assert level is not None
    silence, speaking = done.profile.silence, done.profile.speaking
    assert silence.noise.value == pytest.approx(NOISE, abs=silence.noise.error + 0.2)
    assert speaking.level.value == pytest.approx(level, abs=speaking.level.error + 0.5)
    assert speaking.over_noise.value == pytest.approx(level - NOISE, abs=1.5)
    assert speaking.clipped.value == 0.0


def test_the_loopback_has_its_gain_and_its_delay(done: Done) -> None:
    """Reactions would be off by the difference, and a loud echo be told as a quiet one."""
    echo = done.profile.echo
    assert echo.heard
    assert echo.gain.value == pytest.approx(GAIN, abs=echo.gain.error)
    assert echo.delay.value is not None
    assert OWN[0] < echo.delay.value - LATER < OWN[1]
    assert done.latency.value == pytest.approx(
        echo.delay.value, abs=done.latency.error + echo.delay.error
    )


def test_it_is_told_with_what_to_change(done: Done) -> None:
    """Figures alone help nobody; nothing else may be on either stream."""
    assert done.complaint == ""
    assert "Leave --headset out with these devices" in done.screen
    assert f"Kept for {DEVICES[0]} and {DEVICES[1]}." in done.screen
    assert "±" in done.screen


def test_the_doctor_knows_it_afterwards(done: Done) -> None:
    """The half minute would have to be gone through before every practice."""
    (line,) = [line for line in done.afterwards.splitlines() if "measured today" in line]
    assert line.startswith("good")
    assert "room -62" in line
    assert "latency 0.3" in line
