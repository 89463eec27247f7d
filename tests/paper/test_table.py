from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rehearse.paper.table import Field, TableError, guarded, read_csv, to_csv

TEXTS = st.text(alphabet=st.characters(exclude_categories=["Cs"]))
RISKY = st.text(alphabet="=+-@\t\r\n;'\" ,a1\uff1d\0")
COLUMN = (Field("text", "any text", str), Field("again", "the same", str))


@given(st.lists(st.one_of(TEXTS, RISKY)))
@example(["'", "''=1", "\t", "\r\n=1", "a;'b", "", "\0=1", "\ufeff", '"', "a,b"])
def test_what_is_written_is_read_back(texts: list[str]) -> None:
    """No text is lost or changed between a record and its CSV, whatever was guarded."""
    rows = read_csv(to_csv(COLUMN, texts))
    assert [row["text"] for row in rows] == texts
    assert [row["again"] for row in rows] == texts


@given(st.one_of(TEXTS, RISKY))
@example("=cmd|'/c calc'!A0")
@example("x;=1+1;y")
@example("first\n@SUM(A1)")
@example("\t=1")
@example(" -1")
def test_no_cell_can_run(text: str) -> None:
    """A cell, and each piece that another delimiter would make of it, never starts a formula."""
    for piece in re.split("[;\t\r\n]", guarded(text)):
        assert not piece.lstrip(" \0\u200b\ufeff\xa0").startswith(
            ("=", "+", "-", "@", "\uff1d", "\uff0b")
        )
    assert not guarded(text).startswith(("\t", "\r", "\n"))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_spreadsheet_set_to_another_delimiter_finds_no_formula(delimiter: str) -> None:
    """Opened with semicolons or tabs, a hostile name still does not become a formula of its own."""
    hostile = [f"Ann{cut}={call}" for cut in ";\t\n" for call in ("1+1", 'HYPERLINK("x")&"')]
    hostile += ["=1", "+1", "-1", "@A1", "\t=1", "\r=1"]
    text = to_csv(COLUMN, hostile).decode("utf-8-sig")
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
        for cell in row:
            assert not cell.lstrip().startswith(("=", "+", "-", "@"))


def test_the_form_is_rfc_4180() -> None:
    """Any reader of CSV gets the columns: CRLF, quotes doubled, a byte order mark, plain cells."""
    content = to_csv(COLUMN, ['say "two, left"', "line\nbreak", "José"])
    assert (
        content
        == (
            '\ufeff"text","again"\r\n'
            '"say ""two, left""","say ""two, left"""\r\n'
            '"line\nbreak","line\nbreak"\r\n'
            '"José","José"\r\n'
        ).encode()
    )


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b'"a","b"\r\n"1"\r\n', "marks.csv: row 2 has 1 fields, and 2 are named; give one"),
        (b'"a"\r\n"\xff"\r\n', "marks.csv: byte 6 is not UTF-8; save it as CSV UTF-8"),
        (b'"a"\r\n"x" y\r\n', "marks.csv:2: "),
    ],
)
def test_a_broken_table_is_told_in_one_line(content: bytes, told: str) -> None:
    """A file that cannot be read names itself, the place and the mend, and gives no rows."""
    with pytest.raises(TableError) as caught:
        read_csv(content, "marks.csv")
    assert str(caught.value).startswith(told)
    assert "\n" not in str(caught.value)
