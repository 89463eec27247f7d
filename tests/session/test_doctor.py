"""The examination of a machine: what is said about each thing, and that nothing stops it."""

import re
import shutil
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

from rehearse.errors import ModelError, SoundError, VoiceError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk
from rehearse.measured import Measured
from rehearse.session.doctor import (
    Finding,
    State,
    about_library,
    about_room,
    about_sound,
    examine,
)
from rehearse.session.probes import (
    Probes,
    Room,
    SystemLibrary,
    loads,
    render_voice,
    try_writing,
)
from rehearse.weights.store import known_models, models_folder, verified
from tests.room.profiles import MEASURED, profile

DEVICES = ("desk microphone", "ear pieces")


def _noise(level: float, seconds: float = 1.5) -> Sound:
    """White noise at `level` dB re full scale."""
    random = np.random.default_rng(7)
    return random.normal(0, 10 ** (level / 20), int(seconds * RATE)).astype(np.float32)


def _heard(sound: Sound, lost: float | None = None) -> tuple[Chunk, ...]:
    half = len(sound) // 2
    return (Chunk(sound[:half], 0.0), Chunk(sound[half:], half / RATE, lost))


@pytest.fixture
def fine(tmp_path: Path) -> Probes:
    """A machine on which everything works."""
    return Probes(
        python=(3, 12, 1),
        loads=lambda _library: True,
        verified=lambda name: tmp_path / name,
        listen=lambda _seconds: _heard(_noise(-62)),
        find_loudspeaker=lambda: "desk speaker",
        find_room=lambda: Room(DEVICES, profile(), Measured(0.12, 0.01)),
        render_voice=lambda _text: 2.1,
        takes=tmp_path / "takes",
        free_bytes=lambda _folder: 50_000_000_000,
        patience=5.0,
    )


def _named(findings: list[Finding], name: str) -> Finding:
    (finding,) = (finding for finding in findings if finding.name == name)
    return finding


def _raiser(error: Exception) -> Callable[..., NoReturn]:
    def fail(*_asked: object) -> NoReturn:
        raise error

    return fail


def test_a_fine_machine_is_all_good(fine: Probes) -> None:
    """Every finding is good, needs no mend, and is one line."""
    findings = examine(fine)
    assert {finding.state for finding in findings} == {State.GOOD}
    assert all(finding.sentence and not finding.mend for finding in findings)
    assert all("\n" not in finding.sentence for finding in findings)


def test_everything_is_looked_at_and_announced(fine: Probes) -> None:
    """Each finding is announced by name before it is made, once, models and libraries included."""
    announced: list[str] = []
    findings = examine(fine, announced.append)
    assert announced == [finding.name for finding in findings]
    assert {
        "Python",
        "microphone",
        "loudspeaker",
        "room",
        "voice",
        "takes folder",
        "disk space",
    } <= set(announced)
    assert set(known_models()) <= set(announced)
    assert {"libportaudio2", "libespeak-ng1"} <= set(announced)


def test_whatever_is_not_good_has_a_mend(fine: Probes) -> None:
    """On a machine where nothing works, every finding still comes, each with a way to mend it."""
    broken = replace(
        fine,
        python=(3, 10, 0),
        loads=lambda _library: False,
        verified=_raiser(ModelError("model.onnx: missing; restore it")),
        listen=_raiser(SoundError("no microphone found; plug one in")),
        find_loudspeaker=_raiser(SoundError("no loudspeaker found; connect one")),
        find_room=_raiser(SoundError("no microphone found; run 'rehearse doctor'")),
        render_voice=_raiser(VoiceError("no voice; install one")),
        try_writing=_raiser(PermissionError(13, "Permission denied")),
        free_bytes=lambda _folder: 1000,
    )
    findings = examine(broken)
    assert len(findings) == len(examine(fine))
    assert {finding.state for finding in findings} == {State.BROKEN}
    assert all(finding.mend for finding in findings)


def test_a_model_error_becomes_fault_and_mend(fine: Probes) -> None:
    """The one line of a model error is parted at its semicolon, nothing of it lost."""
    line = "models/m/model.onnx: altered (sha256 0..., expected 1...); restore it; then look again"
    findings = examine(replace(fine, verified=_raiser(ModelError(line))))
    finding = _named(findings, known_models()[0])
    assert f"{finding.sentence}; {finding.mend}" == line


def test_no_mend_sends_a_person_back_here(fine: Probes) -> None:
    """Errors that elsewhere say "run rehearse doctor" get a mend of their own in the doctor."""
    line = "no microphone found; plug one in and run 'rehearse doctor'"
    findings = examine(
        replace(
            fine,
            listen=_raiser(SoundError(line)),
            render_voice=_raiser(VoiceError("the engine wrote no sound; run 'rehearse doctor'")),
        )
    )
    assert _named(findings, "microphone").sentence == "no microphone found"
    assert _named(findings, "voice").sentence == "the engine wrote no sound"
    assert all("rehearse doctor" not in finding.mend for finding in findings)


def test_a_probe_that_hangs_is_left_behind(fine: Probes) -> None:
    """A sound system that never answers becomes a finding, and what follows is still examined."""
    release = threading.Event()

    def hang(_seconds: float) -> tuple[Chunk, ...]:
        release.wait()
        return ()

    try:
        findings = examine(replace(fine, listen=hang, patience=0.05))
    finally:
        release.set()
    assert _named(findings, "microphone").state is State.BROKEN
    assert "did not answer" in _named(findings, "microphone").sentence
    assert _named(findings, "disk space").state is State.GOOD


def test_a_driver_that_fails_oddly_is_named(fine: Probes) -> None:
    """An exception nobody foresaw is told in one line instead of ending the examination."""
    findings = examine(replace(fine, find_loudspeaker=_raiser(ZeroDivisionError("rate\nof 0"))))
    finding = _named(findings, "loudspeaker")
    assert finding.state is State.BROKEN
    assert "ZeroDivisionError: rate of 0" in finding.sentence


@pytest.mark.parametrize(
    ("sound", "lost", "state", "word"),
    [
        (_noise(-62), None, State.GOOD, "room 6"),
        (np.zeros(RATE, np.float32), None, State.ATTENTION, "silence"),
        (np.full(RATE, 0.25, np.float32), None, State.ATTENTION, "silence"),
        (np.clip(_noise(0), -1, 1), None, State.ATTENTION, "clipped"),
        (_noise(-30), None, State.ATTENTION, "loud"),
        (_noise(-62), 0.3, State.ATTENTION, "lost 0.30 s"),
        (np.zeros(0, np.float32), None, State.ATTENTION, "silence"),
    ],
)
def test_what_the_microphone_gives(
    sound: Sound, lost: float | None, state: State, word: str
) -> None:
    """Room, level, muting, clipping and loss are told apart; a constant offset is silence."""
    finding = about_sound(_heard(sound, lost))
    assert finding.state is state
    assert word in finding.sentence
    assert bool(finding.mend) is (state is not State.GOOD)


def test_speech_over_a_quiet_room_is_good() -> None:
    """Somebody speaking while the doctor listens is no fault: the floor is what counts."""
    sound = _noise(-60)
    sound[RATE // 2 : RATE] += _noise(-20, 0.5)
    finding = about_sound(_heard(sound))
    assert finding.state is State.GOOD
    room, loudest = map(int, re.findall(r"\d+", finding.sentence))
    assert room == pytest.approx(60, abs=2)
    assert loudest == pytest.approx(20, abs=2)


def test_a_measured_room_is_one_line_with_its_age() -> None:
    """Nobody could tell which devices were measured, how they did, or that it was last year."""
    room = Room(DEVICES, profile(), Measured(0.214, 0.012))
    finding = about_room(room, MEASURED + timedelta(days=12, hours=3))
    assert finding.state is State.GOOD
    assert finding.sentence == (
        "'desk microphone' and 'ear pieces', measured 12 days ago: room -62 ± 1 dB, "
        "voice over it 30 ± 1 dB, tool's voice under it unknown, latency 0.21 ± 0.02 s"
    )


def test_a_room_in_which_verdicts_suffer_has_its_mend() -> None:
    """Somebody would be asked again and again, and never learn that it is the room."""
    finding = about_room(Room(DEVICES, profile(noise=-38.0)), MEASURED)
    assert finding.state is State.ATTENTION
    assert "Use a headset" in finding.mend
    assert "latency unknown" in finding.sentence


def test_a_room_that_was_not_measured_is_told_for_the_present_devices() -> None:
    """A new headset would go on with the figures of the old one, or with none and no word."""
    finding = about_room(Room(("new microphone", "")), MEASURED)
    assert finding.state is State.ATTENTION
    assert finding.sentence == "not measured with 'new microphone'"
    assert "'rehearse doctor --room'" in finding.mend


@pytest.mark.parametrize(
    ("free", "state"),
    [(2_000_000_000, State.GOOD), (500_000_000, State.ATTENTION), (10_000, State.BROKEN)],
)
def test_disk_space(fine: Probes, free: int, state: State) -> None:
    """Little room asks for attention; room for minutes is as good as none."""
    findings = examine(replace(fine, free_bytes=lambda _folder: free))
    assert _named(findings, "disk space").state is state


def test_writing_is_tried_without_leaving_anything(tmp_path: Path) -> None:
    """The real probe makes neither the takes folder nor any file."""
    try_writing(tmp_path / "not" / "yet")
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_of_the_takes_folder(fine: Probes, tmp_path: Path) -> None:
    """A takes folder that is a file is broken, for every user, root too."""
    in_the_way = tmp_path / "takes"
    in_the_way.write_text("a note")
    finding = _named(examine(replace(fine, takes=in_the_way)), "takes folder")
    assert finding.state is State.BROKEN
    assert str(in_the_way) in finding.sentence


def test_the_real_models_are_found_whole(fine: Probes) -> None:
    """With the real probe, every shipped model is complete and unaltered."""
    findings = examine(replace(fine, verified=verified))
    assert {_named(findings, name).state for name in known_models()} == {State.GOOD}


def test_an_altered_real_model_is_named(
    fine: Probes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One byte more in one file of one model: that model is broken, and the file is named."""
    shutil.copytree(models_folder() / "step-judge-minilm", tmp_path / "step-judge-minilm")
    with (tmp_path / "step-judge-minilm" / "tokenizer.json").open("a") as file:
        file.write(" ")
    monkeypatch.setenv("REHEARSE_MODELS", str(tmp_path))
    finding = _named(examine(replace(fine, verified=verified)), "step-judge-minilm")
    assert finding.state is State.BROKEN
    assert "tokenizer.json: altered" in finding.sentence


def test_the_real_voice_renders_the_sentence(fine: Probes) -> None:
    """With the real speech engine, the sentence becomes a second or more of sound."""
    finding = _named(examine(replace(fine, render_voice=render_voice, patience=30.0)), "voice")
    assert finding.state is State.GOOD
    assert float(re.findall(r"[\d.]+", finding.sentence)[0]) > 1


def test_a_library_that_does_not_exist_is_not_loaded() -> None:
    """The real loader says no to a library no system has."""
    absent = SystemLibrary("libno-such-thing.so.9", "no-such-package", "nothing")
    assert not loads(absent)
    assert "apt-get install no-such-package" in about_library(absent, present=False).mend
