from __future__ import annotations

import errno
import os
import stat
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.paper.files import SaveError, file_name, save

DAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("subject", "name"),
    [
        ("F1042", "training-record-F1042-2026-11-25.pdf"),
        ("../../etc/passwd", "training-record-etc-passwd-2026-11-25.pdf"),
        ('O\'Brien "Kit"', "training-record-O-Brien-Kit-2026-11-25.pdf"),
        ("김민수", "training-record-김민수-2026-11-25.pdf"),
        ("...", "training-record-unnamed-2026-11-25.pdf"),
        ("a\0b\n\\c", "training-record-a-b-c-2026-11-25.pdf"),
    ],
)
def test_names_are_made_safe(subject: str, name: str) -> None:
    """Letters of any script stay, path parts and quotes do not."""
    assert file_name("training-record", subject, DAY, "pdf") == name


@given(st.text())
def test_any_subject_gives_one_plain_file_name(subject: str) -> None:
    """No name leaves its folder, hides, starts an option or is too long for a disk."""
    name = file_name("class-sheet", subject, DAY, "csv")
    assert Path(name).name == name
    assert len(name.encode()) <= 255
    assert not set(name) & set("/\\:*?\"<>|'\0\n\r\t ")
    assert name[0] not in ".-"


def test_a_file_is_for_its_owner_only(tmp_path: Path) -> None:
    """Others on the machine cannot read a record, and nothing but the record is left behind."""
    save(tmp_path / "a.pdf", b"content")
    assert (tmp_path / "a.pdf").read_bytes() == b"content"
    assert stat.S_IMODE((tmp_path / "a.pdf").stat().st_mode) == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["a.pdf"]


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    """A record that was made before stays as it is."""
    save(tmp_path / "a.pdf", b"first")
    with pytest.raises(SaveError, match="there already; choose another name"):
        save(tmp_path / "a.pdf", b"second")
    assert (tmp_path / "a.pdf").read_bytes() == b"first"


def test_a_full_disk_leaves_no_half_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What cannot be brought to the disk is told in one line and leaves nothing behind."""

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("rehearse.paper.files.os.fsync", full)
    with pytest.raises(SaveError, match=r"a\.pdf: cannot be written, no space left on device; "):
        save(tmp_path / "a.pdf", b"content")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    """A folder that is not there is named in one line."""
    with pytest.raises(SaveError, match="cannot be written, no such file or directory"):
        save(tmp_path / "none" / "a.pdf", b"content")
