from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.programme.errors import PastError
from rehearse.programme.history import Result
from rehearse.programme.model import Programme
from rehearse.programme.past import COLUMNS, PastResult, not_counting, read_past
from rehearse.programme.reader import read

Write = Callable[..., Path]
TODAY = date(2026, 11, 25)
HEAD = "staff_number,element,date,method,outcome,examiner,remark\n"
LINE = "F001,doors,2025-03-14,oral,passed,F900,\n"


@pytest.fixture
def programme(write: Write, good: str) -> Programme:
    """A programme with the elements doors and commands."""
    return read(write(good))


def test_reads_every_cell(write: Write, programme: Programme) -> None:
    """Byte order mark, line ends, quoted commas and line ends, other column orders: all read."""
    text = (
        "\ufeffelement,staff_number,date,method,outcome,remark,examiner\r\n"
        ' doors ,F001,2025-03-14,oral,passed,"late, but\r\ngood",F900\r\n'
        "\r\n"
        ",,,,,,\r\n"
        "commands,00\u8b70,2024-02-29,practical,failed,,\u0141\r\n"
    )
    assert read_past(write(text, "past.csv"), programme, TODAY) == (
        PastResult(
            2,
            Result("F001", "doors", date(2025, 3, 14), "oral", "passed"),
            "F900",
            "late, but good",
        ),
        PastResult(
            6,
            Result("00\u8b70", "commands", date(2024, 2, 29), "practical", "failed"),
            "\u0141",
            "",
        ),
    )


# The text below the header, and what is told: line, cell, field, part of fault and mend.
FAULTS = {
    "no date": ("F001,doors,14.03.2025,oral,passed,F900,\n", 2, 3, "date",
                "'14.03.2025' is not a date; write year-month-day"),
    "no such day": ("F001,doors,2025-02-29,oral,passed,F900,\n", 2, 3, "date", "there is no day"),
    "tomorrow": ("F001,doors,2026-11-26,oral,passed,F900,\n", 2, 3, "date", "is after today"),
    "long ago": ("F001,doors,0206-11-26,oral,passed,F900,\n", 2, 3, "date", "before 1950-01-01"),
    "unknown element": ("F001,door,2025-03-14,oral,passed,F900,\n", 2, 2, "element",
                        "'door' is not known; write 'doors', or name an element of cabin"),
    "unknown method": ("F001,doors,2025-03-14,Oral,passed,F900,\n", 2, 4, "method", "write oral"),
    "both methods": ("F001,doors,2025-03-14,both,passed,F900,\n", 2, 4, "method",
                     "write oral or practical"),
    "unknown outcome": ("F001,doors,2025-03-14,oral,pass,F900,\n", 2, 5, "outcome",
                        "write passed (passed or failed)"),
    "no examiner": ("F001,doors,2025-03-14,oral,passed,,\n", 2, 6, "examiner", "it is empty"),
    "no staff number": (",doors,2025-03-14,oral,passed,F900,\n", 2, 1, "staff_number", "is empty"),
    "long remark": (f"F001,doors,2025-03-14,oral,passed,F900,{'x' * 501}\n", 2, 7, "remark",
                    "501 characters, more than 500; shorten it"),
    "invisible character": ("F0\u200b01,doors,2025-03-14,oral,passed,F900,\n", 2, 1,
                            "staff_number", "U+200B"),
    "few cells": (LINE + "F001,doors,2025-03-14,oral,passed,F900\n", 3, 7, "line",
                  "there are 6 cells, not 7"),
    "many cells": (LINE + LINE.replace(",\n", ",a,b\n"), 3, 8, "line", "there are 8 cells"),
    "twice": (LINE + "\n" + LINE, 4, 1, "line", "the same check stands in line 2"),
    "open quote": (LINE + '"F001,doors\n', 3, 1, "line", "close every double quote"),
    "nothing": ("\n\n", 1, 1, "file", "there are no results below"),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS.values(), ids=FAULTS)
def test_each_bad_line_is_told(
    write: Write, programme: Programme, case: tuple[str, int, int, str, str]
) -> None:
    """A bad line is named with its line, cell, field and mend, and nothing is imported."""
    text, line, column, field, part = case
    with pytest.raises(PastError) as caught:
        read_past(write(HEAD + text, "past.csv"), programme, TODAY)
    (told,) = caught.value.problems
    assert (told.line, told.column, told.field) == (line, column, field)
    assert part in f"{told.fault}; {told.mend}"


def test_every_bad_line_is_told(write: Write, programme: Programme) -> None:
    """All faults come at once, each cell of its own, in file order, a quoted line end counted."""
    text = (
        HEAD + '"F\n1",doors,2025-03-14,oral,passed,F900,\n'
        "F001,doors,2025-3-14,oral,won,F900,\n" + LINE + "F001,x\n"
    )
    with pytest.raises(PastError) as caught:
        read_past(write(text, "past.csv"), programme, TODAY, staff={"F001"})
    told = [(problem.line, problem.field) for problem in caught.value.problems]
    assert told == [(2, "staff_number"), (4, "date"), (4, "outcome"), (6, "line")]


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (HEAD.replace("method", "methods") + LINE, "column 'methods' is unknown; write 'method'"),
        (HEAD.replace("method", "date") + LINE, "'date' stands here a second time"),
        (HEAD.replace(",remark", "") + LINE, "the column 'remark' is missing; add it"),
        (HEAD.replace(",", ";") + LINE.replace(",", ";"), "save the file with commas"),
        ("", "the file is empty; begin it with a line that names the columns"),
        (HEAD.encode() + b"\nF\xe4,", "this is not UTF-8 text"),
        (HEAD.encode("utf-16"), "this is not UTF-8 text"),
    ],
)
def test_a_bad_file_is_told(
    write: Write, programme: Programme, content: str | bytes, part: str
) -> None:
    """Columns that are not the documented ones, other separators and encodings are told."""
    with pytest.raises(PastError) as caught:
        read_past(write(content, "past.csv"), programme, TODAY)
    assert part in str(caught.value)


def test_unknown_people_are_told(write: Write, programme: Programme) -> None:
    """A staff number that lost its zeros in a spreadsheet is not taken for another person's."""
    text = HEAD + LINE.replace("F001", "17")
    with pytest.raises(PastError, match="'17' is not known; write '0017', or add the person"):
        read_past(write(text, "past.csv"), programme, TODAY, staff=["0017", "0018"])


def test_checks_by_a_method_that_does_not_count_are_named(
    write: Write, programme: Programme
) -> None:
    """A passed practical check of an oral element is kept, and can be pointed out."""
    text = HEAD + LINE + LINE.replace("doors", "commands").replace("oral", "practical")
    past = read_past(write(text, "past.csv"), programme, TODAY)
    assert not_counting(past, programme) == [past[1]]


@settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    content=st.one_of(
        st.binary(max_size=200),
        st.text('",;\r\n\x00aF1-\u2028', max_size=60).map(lambda text: (HEAD + text).encode()),
    )
)
def test_any_bytes_are_told(write: Write, programme: Programme, content: bytes) -> None:
    """Whatever the bytes are, reading tells faults and never fails otherwise."""
    with pytest.raises(PastError) as caught:
        read_past(write(content, "past.csv"), programme, TODAY)
    assert all("\n" not in str(problem) for problem in caught.value.problems)


def test_the_documented_file_is_read(write: Write) -> None:
    """The example in the guide is a good file for the shipped programme, all columns named."""
    folder = Path(__file__).parents[2] / "programmes"
    guide = (folder / "README.md").read_text(encoding="utf-8")
    example = guide.split("```csv\n")[1].split("```")[0]
    assert example.splitlines()[0].split(",") == list(COLUMNS)
    assert all(f"| `{column}` |" in guide for column in COLUMNS)
    (past,) = read_past(write(example, "past.csv"), read(folder / "fellmark-air.yaml"), TODAY)
    assert past.result.day == date(2025, 3, 14)
