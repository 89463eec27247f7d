"""Kept results of the hearing benchmark."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rehearse.bench.hearing.rows import KeptError, Row, add, read
from rehearse.bench.hearing.slots import Slot

MakeRow = Callable[..., Row]


def test_results_are_read_back_as_they_were(tmp_path: Path, row: MakeRow) -> None:
    """A run that goes on, or a report, would tell other figures than those found."""
    rows = [row(), row(condition="echo", slots=(Slot("turned", "lost"),), support=None)]
    path = tmp_path / "kept.jsonl"
    add(path, rows[:1])
    add(path, rows[1:])
    assert list(read([path]).values()) == rows
    assert read([tmp_path / "none.jsonl"]) == {}


def test_a_half_line_of_a_killed_run_is_put_right(tmp_path: Path, row: MakeRow) -> None:
    """A killed run could not be gone on with, or would lose the result after it."""
    path = tmp_path / "kept.jsonl"
    add(path, [row()])
    whole = path.read_text()
    path.write_text(whole + whole[:40])
    assert len(read([path])) == 1
    add(path, [row(condition="echo")])
    assert len(read([path])) == 2
    path.write_text(whole[:40])
    add(path, [row()])
    assert path.read_text() == whole


def test_files_are_merged_and_the_later_counts(tmp_path: Path, row: MakeRow) -> None:
    """Results of two machines could not be told together, or would count twice."""
    one, two = tmp_path / "one.jsonl", tmp_path / "two.jsonl"
    add(one, [row(), row(condition="echo")])
    add(two, [row(verdict="unclear")])
    found = read([one, two])
    assert len(found) == 2
    assert found[row().key].verdict == "unclear"


def test_what_is_no_result_is_told_with_its_line(tmp_path: Path, row: MakeRow) -> None:
    """A wrong file would end in a traceback, or be taken for an empty one."""
    path = tmp_path / "kept.jsonl"
    add(path, [row()])
    for line in ("[1]", "{}", "nonsense"):
        path.write_text(path.read_text().splitlines()[0] + f"\n{line}\n")
        with pytest.raises(KeptError, match=r"kept\.jsonl:2: no result of 'bench hear'"):
            read([path])
    with pytest.raises(KeptError, match="cannot be written"):
        add(tmp_path / "no" / "folder.jsonl", [row()])
    with pytest.raises(KeptError, match="cannot be read"):
        read([tmp_path])
