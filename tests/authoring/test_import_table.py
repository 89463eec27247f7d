"""Tables of steps, CSV and XLSX, taken over as procedures."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from rehearse.authoring.importing import take_over, texts_of
from rehearse.authoring.landing import land
from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.errors import AuthoringError, BookError
from tests.authoring.conftest import target

HEAD = ["procedure", "title", "paragraph", "positions", "step", "say", "critical", "command",
        "reason", "also", "never"]  # fmt: skip
ROWS = [
    ["arm-door", "Arm the door", "4.2", "C4 C5", "flap", "Open the flap", "", "", "", "", ""],
    ["", "", "4.3", "", "", "Turn the drum to armed", "yes", "", "It fills the slide.",
     "Drum to armed | Rotate the drum to armed", "Turn the drum to disarmed"],
    ["", "", "", "", "call", "Door armed!", "", "x", "", "", ""],
    ["Close the door", "", "", "", "", "Close the door", "no", "", "", "", ""],
]  # fmt: skip


def table(rows: list[list[str]], separator: str = ",") -> str:
    """The rows as CSV."""
    return "".join(separator.join(f'"{c}"' for c in row) + "\n" for row in rows)


def landed(path: Path, sheet: str = "") -> list[Procedure]:
    """The procedures that are made of a table, read back from their files."""
    taken = take_over(path, target(path.name), sheet)
    return [read(made) for made in land(path.parent / "out", texts_of(taken))]


def as_expected(procedures: list[Procedure]) -> None:
    """The procedures of `ROWS`."""
    arm, close = procedures
    assert (arm.id, arm.title, arm.positions) == ("arm-door", "Arm the door", ("C4", "C5"))
    assert arm.revision.source == "CSM 4.2"
    assert [step.id for step in arm.steps] == ["flap", "turn-drum-armed", "call"]
    drum = arm.steps[1]
    assert drum.critical
    assert drum.reason == "It fills the slide."
    assert drum.also == ("Drum to armed", "Rotate the drum to armed")
    assert drum.never == ("Turn the drum to disarmed",)
    assert arm.step("call").command
    assert arm.pass_rule.critical == "all"
    assert (close.id, close.positions) == ("close-the-door", ("C4",))
    assert close.pass_rule.critical == "none"


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_csv(tmp_path: Path, separator: str) -> None:
    """Commas, semicolons and tabs part the cells; what the author marked is kept as marked."""
    path = tmp_path / "steps.csv"
    path.write_text("\ufeff" + table([HEAD, *ROWS], separator), "utf-8")
    as_expected(landed(path))


def test_xlsx(tmp_path: Path) -> None:
    """A sheet gives the same procedures as its CSV."""
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.title = "Notes"
    sheet = book.create_sheet("Steps")
    for row in (HEAD, *ROWS):
        sheet.append([cell or None for cell in row])
    path = tmp_path / "steps.xlsx"
    book.save(path)
    as_expected(landed(path, "Steps"))
    with pytest.raises(BookError, match="no sheet 'Step'; did you mean 'Steps'"):
        take_over(path, target(), "Step")
    with pytest.raises(BookError, match="it is empty"):
        take_over(path, target())


def test_a_paragraph_that_is_a_number_is_asked_about(tmp_path: Path) -> None:
    """A spreadsheet turns 4.10 into 4.1, which no program can undo; a person is told."""
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in (["procedure", "paragraph", "say"], ["a", 4.1, "Open it"]):
        book.active.append(row)
    path = tmp_path / "steps.xlsx"
    book.save(path)
    assert [doubt.kind for doubt in take_over(path, target()).doubts] == ["cells"]


FAULTS = {
    "unknown column": (
        "procedure,sey\na,b\n",
        ":1:2: column 2: the column 'sey' is unknown; write 'say'",
    ),
    "missing column": ("say\nb\n", "the column 'procedure' is missing"),
    "twice": ("procedure,say,say\n", "'say' is there twice"),
    "no procedure": (
        "procedure,say\n,Open it\n",
        ":2:1: procedure: the row belongs to no procedure",
    ),
    "no sentence": ("procedure,say,reason\na,,x\n", ":2:1: say: the cell is empty"),
    "neither yes nor no": (
        "procedure,say,critical\na,Open it,maybe\n",
        "'maybe' is neither yes nor no",
    ),
    "step twice": ("procedure,say,step\na,Open it,x\na,Close it,x\n", ":3:1: step: 'x' is taken"),
    "sentence twice": ("procedure,say\na,Open it\na,Open it!\n", "is said in line 2 already"),
    "position": ("procedure,say,positions\na,Open it,purser\n", "'purser' is not a crew position"),
    "apart": ("procedure,say\na,Open it\nb,Open it\na,Close it\n", "stands in two places"),
    "two titles": (
        "procedure,title,say\na,A,Open it\na,B,Close it\n",
        ":3:1: title: the rows of 'a' differ",
    ),
    "open quote": ('procedure,say\na,"Open it\n', "the line cannot be read"),
    "too many cells": ("procedure,say\na,Open it, then\n", "too many cells"),
    "empty": ("", "it is empty"),
    "only a head": ("procedure,say\n", "it has no rows"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_faults_name_line_column_and_mend(tmp_path: Path, name: str) -> None:
    """A table that cannot be used says where and how to mend it, and writes nothing."""
    text, part = FAULTS[name]
    path = tmp_path / "steps.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(BookError) as told:
        take_over(path, target())
    assert part in str(told.value)
    assert all("; " in str(problem) for problem in told.value.problems)


def test_files_that_are_no_tables(tmp_path: Path) -> None:
    """Something else under the name of a table is refused by name, not by a traceback."""
    for name, content in (("a.xlsx", b"PK\x03\x04 no"), ("b.xlsx", b""), ("c.csv", b"\xff\xfe")):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(BookError, match=name):
            take_over(path, target())
    with pytest.raises(BookError, match="no such file"):
        take_over(tmp_path / "none.xlsx", target())
    with pytest.raises(AuthoringError, match="only an XLSX file has sheets"):
        take_over(tmp_path / "c.csv", target(), "Steps")
