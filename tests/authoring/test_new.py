from __future__ import annotations

from pathlib import Path

import pytest

from rehearse.book.reader import read
from rehearse.safety import NOTICE
from tests.authoring.conftest import Type


def test_a_new_procedure_is_valid_and_explained(type_in: Type, tmp_path: Path) -> None:
    """The starter reads as a procedure of what was asked for, with the notice in its comments."""
    outcome = type_in("book", "new", "feed-the-cat", "--aircraft", "tarn-240", "--positions", "C4",
                      "C5", "--effective", "2026-12-01", "-o", tmp_path)  # fmt: skip
    assert outcome.status == 0
    path = tmp_path / "feed-the-cat.yaml"
    procedure = read(path)
    assert (procedure.id, procedure.title) == ("feed-the-cat", "Feed the cat")
    assert (procedure.aircraft, procedure.positions) == ("tarn-240", ("C4", "C5"))
    assert procedure.revision.effective.isoformat() == "2026-12-01"
    assert NOTICE in " ".join(path.read_text("utf-8").replace("\n# ", " ").split())
    assert str(path) in outcome.out[0]


def test_nothing_is_overwritten_unasked(type_in: Type, tmp_path: Path) -> None:
    """A file that is there stays as it is until --replace."""
    (tmp_path / "x.yaml").write_text("mine")
    words = ("book", "new", "x", "--aircraft", "tarn-240", "-o", tmp_path)
    refused = type_in(*words)
    assert refused.status == 2
    assert "there already: x.yaml" in refused.err[0]
    assert (tmp_path / "x.yaml").read_text() == "mine"
    assert type_in(*words, "--replace").status == 0
    assert read(tmp_path / "x.yaml").id == "x"
    assert [path.name for path in tmp_path.iterdir()] == ["x.yaml"]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("a b", "--aircraft", "tarn-240"), "NAME 'a b': no id"),
        (("a", "--aircraft", "tarn 240"), "--aircraft 'tarn 240': no id"),
        (("a", "--aircraft", "t", "--positions", "c4"), "--positions 'c4': no crew position"),
        (("a", "--aircraft", "t", "--effective", "soon"), "--effective soon: no date"),
        (("a", "--aircraft", "t", "--language", "xx"), "xx"),
        (("a", "--aircraft", "t", "--title", "12"), "--title '12': cannot be said"),
        (("lexicon", "--aircraft", "t"), "NAME lexicon"),
    ],
)
def test_what_cannot_be_used_is_told(
    type_in: Type, tmp_path: Path, words: tuple[str, ...], part: str
) -> None:
    """Each option that no procedure file takes is refused in one line, and nothing is written."""
    outcome = type_in("book", "new", *words, "-o", tmp_path)
    assert outcome.status == 2
    assert len(outcome.err) == 1
    assert part in outcome.err[0]
    assert list(tmp_path.iterdir()) == []


def test_lint_says_what_is_left_to_write(type_in: Type, tmp_path: Path) -> None:
    """A starter that is left as it is cannot pass for a finished procedure."""
    type_in("book", "new", "feed-the-cat", "--aircraft", "tarn-240", "-o", tmp_path)
    outcome = type_in("book", "lint", "--words-only", tmp_path / "feed-the-cat.yaml")
    assert outcome.status == 1
    left = [line for line in outcome.out if "starter file" in line]
    assert [line.split(": ")[1] for line in left] == [
        "revision.source", "steps[first].say", "steps[second].say", "steps[command].say",
    ]  # fmt: skip
