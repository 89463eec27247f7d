from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.errors import StoreError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.record import flac

FRAME = 4096


@pytest.fixture
def tiny_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 96 KiB, where the system lets us mount one."""
    place = tmp_path / "tiny"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=96k", "tmpfs", str(place)]
    try:
        done = subprocess.run(mount, check=False, capture_output=True)
    except OSError:
        pytest.skip("no mount command")
    if done.returncode:
        pytest.skip("mounting a small disk needs more rights")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def everything(path: Path) -> Sound:
    """All samples of a file."""
    return np.concatenate([np.zeros(0, np.float32), *flac.read(path)])


def test_always_readable(tmp_path: Path, speechlike: Sound) -> None:
    """After every block, soundfile reads the file without complaint, all but the open frame."""
    writer = flac.FlacWriter(tmp_path / "s.flac")
    given = 0
    for piece in np.array_split(speechlike, 61):
        writer.write(piece)
        given += len(piece)
        if given > FRAME:
            back, rate = soundfile.read(tmp_path / "s.flac", dtype="float32")
            assert rate == RATE
            assert given - FRAME - 1 <= len(back) <= given
            assert np.abs(back - speechlike[: len(back)]).max() < 1 / 16384
    writer.close()
    assert len(everything(tmp_path / "s.flac")) == len(speechlike)
    assert writer.seconds == pytest.approx(len(speechlike) / RATE)


def test_silence_and_odd_numbers(tmp_path: Path) -> None:
    """What is no number becomes silence, what is too loud is clipped, and both can be read."""
    samples = np.array([np.nan, np.inf, -np.inf, 3.0, -3.0, 0.5], np.float32)
    writer = flac.FlacWriter(tmp_path / "s.flac")
    writer.write(samples)
    writer.write(np.zeros(2 * RATE, np.float32))
    writer.close()
    back = everything(tmp_path / "s.flac")
    assert back[:6] == pytest.approx([0, 1, -1, 1, -1, 0.5], abs=1e-3)
    assert len(back) == 2 * RATE + 6


@pytest.mark.parametrize("samples", [0, 1, FRAME - 1, FRAME, FRAME + 1, 3 * FRAME])
def test_lengths(tmp_path: Path, samples: int) -> None:
    """Every length around a whole frame comes back exactly; no sound at all is no error."""
    writer = flac.FlacWriter(tmp_path / "s.flac")
    if samples:
        writer.write(np.full(samples, 0.25, np.float32))
    writer.close()
    writer.close()
    assert len(everything(tmp_path / "s.flac")) == samples


def test_closed_refuses(tmp_path: Path) -> None:
    """Sound that comes after the end is refused, not lost in silence."""
    writer = flac.FlacWriter(tmp_path / "s.flac")
    writer.close()
    with pytest.raises(StoreError, match="no more sound"):
        writer.write(np.zeros(10, np.float32))


def test_existing_file(tmp_path: Path) -> None:
    """A recording that is there already is never written over."""
    (tmp_path / "s.flac").write_bytes(b"mine")
    with pytest.raises(StoreError, match="a file is in the way"):
        flac.FlacWriter(tmp_path / "s.flac")
    assert (tmp_path / "s.flac").read_bytes() == b"mine"


@pytest.mark.parametrize("room", [0, 3_000, 30_000, 60_000])
def test_full_disk(tiny_disk: Path, speechlike: Sound, room: int) -> None:
    """When the disk fills up, one clear line says so and all complete frames stay readable."""
    used = 96 * 1024 - room
    (tiny_disk / "other").write_bytes(b"\0" * (used // 4096 * 4096))
    given, told = 0, []
    try:
        writer = flac.FlacWriter(tiny_disk / "s.flac")
    except StoreError as error:
        assert room == 0
        told.append(str(error))
    else:
        for piece in np.array_split(speechlike, 100):
            try:
                writer.write(piece)
            except StoreError as error:
                told.append(str(error))
                break
            given += len(piece)
        with pytest.raises(StoreError, match="no more sound"):
            writer.write(speechlike)
        writer.close()
    assert len(told) == 1
    assert "the disk is full; free some space" in told[0]
    if given:
        back = everything(tiny_disk / "s.flac")
        assert given - 2 * FRAME <= len(back) <= given + FRAME
        assert np.abs(back - speechlike[: len(back)]).max(initial=0.0) < 1 / 16384


def test_full_disk_at_the_very_end(tiny_disk: Path, speechlike: Sound) -> None:
    """When only the last frame finds no room, closing says so and the rest stays readable."""
    told = 0
    for samples in range(FRAME, 12 * FRAME, 2_000):
        path = tiny_disk / "s.flac"
        writer = flac.FlacWriter(path)
        try:
            writer.write(speechlike[:samples])
            left = os.statvfs(tiny_disk)
            (tiny_disk / "other").write_bytes(b"\0" * (left.f_bavail * left.f_bsize))
            writer.close()
        except StoreError as error:
            told += 1
            assert "the disk is full" in str(error)  # noqa: PT017
            assert len(everything(path)) >= samples - FRAME - 1
        else:
            assert len(everything(path)) == samples
        path.unlink()
        (tiny_disk / "other").unlink(missing_ok=True)
    assert told


def test_truncated_copy(tmp_path: Path, speechlike: Sound) -> None:
    """A recording that was cut short afterwards gives all that is left, then one clear line."""
    path = tmp_path / "s.flac"
    writer = flac.FlacWriter(path)
    writer.write(speechlike)
    writer.close()
    os.truncate(path, path.stat().st_size // 2)
    got: list[Sound] = []
    with pytest.raises(StoreError, match=r"s\.flac: damaged after \d\.\d s of 10\.0 s"):
        got.extend(flac.read(path))
    assert 0.35 * len(speechlike) < sum(map(len, got)) < 0.65 * len(speechlike)


@pytest.mark.parametrize("content", [b"RIFF....WAVE", b"hello", b"fLaC" + b"\xff" * 80])
def test_not_flac(tmp_path: Path, content: bytes) -> None:
    """Something else under that name is refused in one line."""
    (tmp_path / "s.flac").write_bytes(content)
    with pytest.raises(StoreError, match=r"s\.flac") as caught:
        list(flac.read(tmp_path / "s.flac"))
    assert "\n" not in str(caught.value)


def test_other_rate(tmp_path: Path) -> None:
    """A recording at another rate is not played as if it were ours."""
    soundfile.write(tmp_path / "s.flac", np.zeros(8000), 8000)
    with pytest.raises(StoreError, match="mono at 16000"):
        list(flac.read(tmp_path / "s.flac"))
