from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.book.reader import read
from rehearse.errors import BookError, Problem

Write = Callable[[str | bytes], Path]


def only_problem(path: Path) -> Problem:
    """The one fault of a file that must not be readable."""
    with pytest.raises(BookError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert problem.path == path
    assert problem.mend
    return problem


def test_a_file_of_ten_megabytes_is_not_read(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its size alone is enough to refuse it: it is never opened."""
    path = write(b"a: " + b"x" * 10_000_000)

    def opened(*_: object, **__: object) -> None:
        raise AssertionError("the file was opened")

    monkeypatch.setattr(Path, "open", opened)
    problem = only_problem(path)
    assert (problem.line, problem.column, problem.field) == (1, 1, "file")
    assert "larger than 1 MB" in problem.fault
    assert "split it" in problem.mend


def test_the_limit_is_a_million_bytes(write: Write, good: str) -> None:
    """A file of exactly one million bytes is read, one byte more is refused."""
    content = good + "#" * (1_000_000 - len(good))
    assert read(write(content)).id == "arm-door-2l"
    assert "1 MB" in only_problem(write(content + "#")).fault


@pytest.mark.parametrize(
    ("content", "line", "column"),
    [
        ("title: Arm d\u00f6or".encode("latin-1"), 1, 13),
        ("a: b\n\u00e9: Arm".encode() + b"\xff", 2, 7),
        ("title: Arm".encode("utf-16"), 1, 1),
        (b"\x80", 1, 1),
    ],
)
def test_other_encodings_are_told(write: Write, content: bytes, line: int, column: int) -> None:
    """A file that is not UTF-8 is refused at its first wrong byte."""
    problem = only_problem(write(content))
    assert (problem.line, problem.column) == (line, column)
    assert "not UTF-8" in problem.fault
    assert "UTF-8" in problem.mend


def test_invisible_characters_are_told_a_line(write: Write, good: str) -> None:
    """Each line with an invisible character is told once, together with the other faults."""
    bad = good.replace("Arm door", "Arm\u200b do\u200bor").replace("Open the", "Open\x07the")
    with pytest.raises(BookError) as caught:
        read(write(bad.replace("share: 0.8", "share: 8")))
    told = [(problem.line, problem.column) for problem in caught.value.problems]
    assert told == [(2, 11), (8, 30), (11, 14)]


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """A name without a file behind it gets one line."""
    problem = only_problem(tmp_path / "none.yaml")
    assert "no such file" in problem.fault
    assert "check the name" in problem.mend


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    """A folder in the place of a file gets one line."""
    assert "not a file" in only_problem(tmp_path).fault


def test_a_pipe_is_no_file(tmp_path: Path) -> None:
    """A pipe, which would wait for ever, is not opened."""
    path = tmp_path / "pipe.yaml"
    os.mkfifo(path)
    assert "not a file" in only_problem(path).fault


def test_an_impossible_name_is_told() -> None:
    """A name that no file can have gets one line."""
    assert only_problem(Path("arm\x00.yaml")).mend


def test_an_unreadable_file_is_told(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that may not be read gets one line with the system's reason."""
    path = write("a: b")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    problem = only_problem(path)
    assert "Permission denied" in problem.fault
    assert "permissions" in problem.mend


def test_a_binary_file_is_not_told_line_by_line(write: Write) -> None:
    """Beyond twenty lines with invisible characters one fault speaks for the rest."""
    with pytest.raises(BookError) as caught:
        read(write(b"\x00\n" * 1000))
    told = [problem for problem in caught.value.problems if "invisible" in problem.fault]
    assert len(told) == 21
    assert (told[-1].line, told[-1].column) == (21, 1)
    assert "980 more lines" in told[-1].fault
    assert "at all" in told[-1].mend
