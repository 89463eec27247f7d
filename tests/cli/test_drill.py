"""Drills from the command line: recordings, baselines, what is listed, and input that is no use."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from rehearse.cli import main
from rehearse.drill.files.reader import read_drill
from rehearse.drill.files.shelf import drill_stock
from rehearse.drill.running.plan import plan
from rehearse.hear.recogniser import RATE
from rehearse.hear.recording import Recording
from rehearse.safety import NOTICE
from rehearse.session import calm

SESSION = Path(__file__).parents[1] / "session"
DRILL = SESSION / "two-calls.yaml"
SEED = 7

Sound = npt.NDArray[np.float32]
Run = Callable[..., tuple[int, str, list[str]]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Types a `drill` command; its status, what it printed, and the lines of its complaints."""

    def typed(*argv: str | Path) -> tuple[int, str, list[str]]:
        status = main(["drill", *map(str, argv)])
        out, err = capsys.readouterr()
        return status, out, err.splitlines()

    return typed


def clip(name: str) -> Sound:
    """One of the trainee's clips."""
    return np.asarray(soundfile.read(SESSION / "sounds" / f"{name}.flac", dtype="float32")[0])


@pytest.fixture(scope="module")
def answered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A recording of somebody who answers the drill of this seed rightly, and who is late once.

    The first command begins 0.8 s after its cue, the second 1.5 s after the earliest that its cue
    can come: when the first one has been heard to its end.
    """
    waits = {stage: planned.wait for stage, planned in plan(read_drill(DRILL), SEED).items()}
    belts, filling = clip("belts"), clip("filling")
    first = waits["signal"] + 0.8
    second = first + len(belts) / RATE + 0.5 + waits["filling"] + 1.5
    sound = np.random.default_rng(3).normal(0, 1e-4, int((second + 12) * RATE)).astype(np.float32)
    for start, said in ((first, belts), *((second + 2.4 * turn, filling) for turn in range(3))):
        sound[int(start * RATE) :][: len(said)] += said
    path = tmp_path_factory.mktemp("recorded") / "answered.wav"
    soundfile.write(path, sound, RATE)
    return path


def reading(level: float, noise: float) -> Sound:
    """Half a minute of speech as loud as `level` times the clips, with pauses, in a noisy room."""
    pause = np.zeros(RATE // 2, np.float32)
    spoken = np.concatenate([clip("belts"), pause, clip("filling"), pause])
    whole = np.tile(level * spoken, 8)[: 31 * RATE]
    noisy = whole + np.random.default_rng(1).normal(0, noise, len(whole))
    return np.clip(noisy, -1, 1).astype(np.float32)


def test_a_recording_is_scored_without_a_person(run: Run, answered: Path, tmp_path: Path) -> None:
    """One JSON object for each, in order; a file that cannot be used stops no other.

    The trainee shouts twenty decibels louder than they read.
    """
    missing, read, drawn = tmp_path / "missing.wav", tmp_path / "read.wav", tmp_path / "drawn"
    soundfile.write(read, reading(0.1, 1e-5), RATE)
    status, out, err = run(
        DRILL, "--seed", SEED, "--json", "--pictures", drawn, "--calm", read,
        "--from", missing, answered,
    )  # fmt: skip
    rows = [json.loads(line) for line in out.splitlines()]
    assert status == 2
    assert [row["file"] for row in rows] == [str(missing), str(answered)]
    assert "there is no such file" in rows[0]["error"]
    assert err == [f"rehearse: {rows[0]['error']}"]
    assert rows[1]["passed"]
    (belts,) = rows[1]["stages"][0]["answers"]
    assert belts["reaction"]["value"] == pytest.approx(0.8, abs=0.06)
    (filling,) = rows[1]["stages"][1]["answers"]
    assert filling["count"] == 3
    assert filling["rate"]["value"] == pytest.approx(25.0, rel=0.05)
    assert (belts["level"]["value"] + filling["level"]["value"]) / 2 == pytest.approx(20, abs=1.5)
    assert (drawn / "answered.svg").is_file()
    assert (drawn / "answered.png").is_file()


def test_the_drills_are_listed(run: Run) -> None:
    """Every drill by its id, so that it can be named."""
    status, out, err = run("--list")
    assert (status, err) == (0, [])
    for drill in drill_stock().drills:
        assert drill.id in out


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        ([], "no drill named"),
        (["no-such-drill"], "there is no drill 'no-such-drill'"),
        ([DRILL, "--from", "a.wav"], "give its seed"),
        ([DRILL, "--position", "C1"], "it is for C4"),
        (["--take", "nowhere"], "is this a take?"),
        (
            [DRILL, "--seed", 1, "--calm", SESSION / "sounds" / "belts.flac", "--from", "a"],
            "record the calm reading again",
        ),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(
    run: Run, argv: list[str | Path], told: str
) -> None:
    """With the mend, status 2, and before any model is loaded."""
    status, out, err = run(*argv)
    assert status == 2
    assert out == ""
    (line,) = err
    assert told in line


@pytest.fixture
def microphone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[float, float], None]:
    """A microphone that hears thirty seconds of speech at a level, in a room with a noise."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    def hears(level: float, noise: float) -> None:
        path = tmp_path / "reading.wav"
        soundfile.write(path, reading(level, noise), RATE)
        monkeypatch.setattr(calm, "Microphone", lambda _device: Recording(path))
        monkeypatch.setattr(
            "rehearse.hear.microphone.Microphone.hardware", lambda _self: "desk mic"
        )

    return hears


def test_a_baseline_is_read_in_and_kept(
    run: Run, microphone: Callable[[float, float], None]
) -> None:
    """The text to read is shown, and the level is kept for this person on this device only."""
    microphone(0.2, 1e-4)
    status, out, err = run("--baseline", "--person", "T-4")
    assert (status, err) == (0, [])
    assert calm.READING.split(".")[0] in " ".join(out.split())
    assert "dB over full scale" in out
    found = calm.kept("T-4", "desk mic")
    assert found is not None
    assert found.level.value is not None
    assert calm.kept("T-5", "desk mic") is None
    assert calm.kept("T-4", "another mic") is None


@pytest.mark.parametrize(
    ("level", "noise", "told"),
    [(0.2, 0.006, "too loud"), (8.0, 1e-4, "clips"), (0.0, 1e-4, "no")],
)
def test_a_baseline_that_is_no_use_is_refused(
    run: Run, microphone: Callable[[float, float], None], level: float, noise: float, told: str
) -> None:
    """With the reason, and the one that was kept before stays."""
    microphone(0.2, 1e-4)
    assert run("--baseline")[0] == 0
    before = calm.kept("", "desk mic")
    assert before is not None
    microphone(level, noise)
    status, _, err = run("--baseline")
    assert status == 2
    assert told in err[0]
    assert calm.kept("", "desk mic") == before


def test_help_says_what_a_drill_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    """The notice stands where people look first."""
    with pytest.raises(SystemExit):
        main(["--help"])
    assert NOTICE.split(".")[0] in " ".join(capsys.readouterr().out.split())
