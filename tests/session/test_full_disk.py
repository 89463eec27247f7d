"""Takes on a disk that is full or may not be written: one clear line, and what was kept is read."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from rehearse.cli import main
from rehearse.events import Listening
from rehearse.hear.recogniser import RATE
from rehearse.hear.source import Chunk
from rehearse.record.take import Take
from rehearse.session import engine, studio

PROCEDURE = Path(__file__).parents[2] / "procedures" / "tarn-240" / "arm-door-2l.yaml"
BLOCK = RATE * 32 // 1000
ROOM = 200_000  # bytes of the small disk: some seconds of noise


@dataclass(frozen=True)
class NoisyRoom:
    """A microphone that hears a minute of faint hiss, faster than it lasts."""

    device: int | str | None = None
    name: str = "noisy room"

    def chunks(self) -> Generator[Chunk, None, None]:
        """As `rehearse.hear.source.Source`."""
        noise = np.random.default_rng(5)
        for at in range(0, 60 * RATE, BLOCK):
            hiss = noise.normal(0, 1e-3, BLOCK).astype(np.float32)
            yield Chunk(hiss, at / RATE)


Mount = Callable[..., Path]


@pytest.fixture
def mount(tmp_path: Path) -> Iterator[Mount]:
    """Mounts a small disk with the given options; it goes with the test."""
    disk = tmp_path / "disk"
    disk.mkdir()

    def mounted(*options: str) -> Path:
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", ",".join(options), "tmpfs", str(disk)],
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode != 0:
            pytest.skip(f"a small disk can only be mounted by root: {done.stderr.strip()}")
        return disk

    yield mounted
    subprocess.run(["umount", str(disk)], capture_output=True, check=False)


def practised(
    takes: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> tuple[int, list[str]]:
    """The exit status of a practice without a loudspeaker, and its lines on stderr about takes."""
    monkeypatch.setattr(studio, "Microphone", NoisyRoom)
    argv = ["practise", str(PROCEDURE), "--takes", str(takes), "--loudspeaker", "nowhere"]
    status = main(argv)
    lines = capsys.readouterr().err.splitlines()
    return status, [line for line in lines if "loudspeaker" not in line]


def test_a_disk_that_fills_up_in_mid_take_keeps_what_was_written(
    mount: Mount, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line with the mend and the take's place; its log and its sound until then are whole."""
    takes = mount(f"size={ROOM}")
    status, lines = practised(takes, monkeypatch, capsys)
    assert status == 2
    (line,) = lines
    (folder,) = takes.iterdir()
    assert "the disk is full; free some space" in line
    assert str(folder) in line
    take = Take.open(folder)
    assert any(isinstance(event, Listening) for event in take.events)
    assert sum(map(len, take.sound())) > RATE


def test_a_disk_that_is_full_from_the_start_gets_no_take(
    mount: Mount, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is begun that could not be kept, and nothing is left behind."""
    takes = mount("size=8192")
    (takes / "old").write_bytes(bytes(8192))
    status, lines = practised(takes, monkeypatch, capsys)
    assert status == 2
    (line,) = lines
    assert "the disk is full; free some space" in line
    assert [path.name for path in takes.iterdir()] == ["old"]


def test_a_folder_that_may_not_be_written_gets_no_take(
    mount: Mount, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A disk that can only be read, which not even root may write."""
    takes = mount("ro")
    status, lines = practised(takes, monkeypatch, capsys)
    assert status == 2
    (line,) = lines
    assert line == (
        f"rehearse: {takes}: not writable; choose another folder for takes or change its "
        "permissions"
    )


@pytest.fixture(autouse=True, scope="module")
def models() -> Iterator[None]:
    """The models, loaded once for all tests here."""
    loaded = engine.load_engine("en")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "load_engine", lambda _language: loaded)
        yield
