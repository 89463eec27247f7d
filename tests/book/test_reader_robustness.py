from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.errors import BookError

Write = Callable[[str | bytes], Path]
FUZZ = settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)

# Fragments that mean something to YAML or to the reader.
PARTS = st.sampled_from(
    [
        ":", ": ", "- ", "\n", "\n  ", "\n    ", "[", "]", "{", "}", ",", "'", '"', "\\", "\\U",
        "&a", "*a", "!", "!!str ", "|", ">", "%", "%YAML 1.9", "---\n", "...\n", "? ", "<<", "#",
        "\t", "\x00", "\u2028", "\r", "yes", "null", "~", ".nan", ".inf", "1:30", "0x1f", "1e999",
        "2026-13-41", "9" * 400, "steps", "id", "say", "after: [call]", "critical", "\ud55c",
    ]
)  # fmt: skip


def told_well(error: BookError) -> None:
    """Every fault has a place, a field and a mend, on one line that can be printed."""
    assert error.problems
    for problem in error.problems:
        assert problem.line >= 1
        assert problem.column >= 1
        assert problem.field
        assert problem.mend
        assert "\n" not in str(problem)
        assert str(problem).encode()


def outcome(path: Path) -> Procedure | BookError:
    """What reading gives: a procedure or faults. Anything else that is raised fails the test."""
    try:
        procedure = read(path)
    except BookError as error:
        told_well(error)
        return error
    assert procedure.steps
    assert procedure.predecessors.keys() == {step.id for step in procedure.steps}
    return procedure


@FUZZ
@given(content=st.binary(max_size=400))
def test_any_bytes_give_a_procedure_or_faults(write: Write, content: bytes) -> None:
    """Whatever the bytes are, reading tells faults and never fails otherwise."""
    assert isinstance(outcome(write(content)), BookError)


@FUZZ
@given(parts=st.lists(PARTS, max_size=60))
def test_any_yaml_like_text_gives_a_procedure_or_faults(write: Write, parts: list[str]) -> None:
    """Text made of what YAML gives meaning to is read or told."""
    outcome(write("".join(parts)))


@FUZZ
@given(
    edits=st.lists(
        st.tuples(st.integers(0, 1000), st.integers(0, 12), PARTS | st.text(max_size=4)),
        min_size=1,
        max_size=4,
    )
)
def test_a_damaged_file_gives_a_procedure_or_faults(
    write: Write, good: str, edits: list[tuple[int, int, str]]
) -> None:
    """A valid file with pieces cut out and put in is read or told."""
    text = good
    for place, cut, piece in edits:
        at = place % (len(text) + 1)
        text = text[:at] + piece + text[at + cut :]
    outcome(write(text.encode("utf-8", "surrogatepass")))


@FUZZ
@given(keep=st.integers(0, 1000))
def test_a_cut_off_file_gives_a_procedure_or_faults(write: Write, good: str, keep: int) -> None:
    """A file that ends anywhere is read or told."""
    outcome(write(good[:keep]))


@pytest.mark.parametrize(
    "content",
    [
        "[" * 999_000,
        "- " * 499_000,
        "? " * 499_000,
        "{a: " * 249_000,
        "a: '" + "b\n " * 300_000,
        "a: [" + "b," * 490_000,
        "#" * 999_000,
        "\n" * 999_000,
        "---\n" * 249_000,
        "%TAG !a! tag:a\n" * 60_000,
        'a: "' + "\\n" * 490_000,
        "a: &" + "b" * 900_000,
        "\x00" * 999_000,
        ("\x00" * 3 + "\n") * 249_000,
    ],
    ids=lambda content: repr(content[:12]),
)
def test_large_and_odd_files_end(write: Write, content: str) -> None:
    """A megabyte of anything is refused without following it to its depths."""
    assert isinstance(outcome(write(content)), BookError)
