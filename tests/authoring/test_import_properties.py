"""Whatever a manual holds: valid files or one line, and nothing that was listed is lost."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.authoring.importing import take_over, texts_of
from rehearse.authoring.landing import land
from rehearse.authoring.taken import Taken
from rehearse.book.reader import read
from rehearse.book.relations import plain
from rehearse.errors import AuthoringError
from tests.authoring.conftest import target


def tried(path: Path) -> Taken | str:
    """What is made of the file, or why nothing is."""
    try:
        return take_over(path, target(path.name))
    except AuthoringError as error:
        return str(error)


PIECES = [
    "# ", "## 4.2 ", "1. ", "2) ", "- ", "   - ", "   a) ", "(b) ", "4.2.1 ", "Note: ",
    "> Warning: ", "**CAUTION:** ", "| a | b |", "---", "```", "    code", "Open the flap",
    "TURN IT!", '"Go!"', "{x}", "12", "...", ": x", "#", "é ü", "![p](x)", "<b>x</b>", "\n\n",
    "\n", "[l](y)", "* ", "`code`", "!", "[ ]", "\t", "====", "x" * 30 + " ", "word " * 70,
]  # fmt: skip


@settings(max_examples=150)
@given(st.lists(st.sampled_from(PIECES), max_size=25), st.sampled_from(["c.md", "c.txt"]))
def test_any_text_gives_valid_files_or_one_line(pieces: list[str], name: str) -> None:
    """No text breaks the import, and whatever it writes reads back with the same sentences."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_text("".join(pieces), "utf-8")
        taken = tried(path)
        if isinstance(taken, str):
            assert "\n" not in taken
            return
        paths = land(Path(folder) / "out", texts_of(taken))
        said = [step.say for made in paths for step in read(made).steps]
    assert said == [step.say for procedure in taken.procedures for step in procedure.steps]


words = st.sampled_from("open close turn press the left red door flap drum lamp twice".split())
sentences = st.lists(words, min_size=1, max_size=70).map(" ".join)
entries = st.lists(st.tuples(sentences, st.integers(0, 2)), min_size=1, max_size=12)


@pytest.mark.parametrize("name", ["c.md", "c.txt"])
@settings(max_examples=60)
@given(rows=entries)
def test_nothing_that_is_listed_is_lost(name: str, rows: list[tuple[str, int]]) -> None:
    """Every word of every entry stands in a step or in a comment, in whatever depth it was."""
    depth = 0
    lines = ["# Do it", ""]
    for text, wanted in rows:
        depth = min(wanted, depth + 1) if len(lines) > 2 else 0
        lines.append(f"{'   ' * depth}1. {text}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_text("\n".join(lines) + "\n", "utf-8")
        taken = tried(path)
    if isinstance(taken, str):
        assert "0 steps" in taken
        assert all(len(text.split()) > 60 for text, _ in rows)
        return
    kept = plain(" ".join(texts_of(taken).values()))
    for text, _ in rows:
        assert plain(text) in kept, text
