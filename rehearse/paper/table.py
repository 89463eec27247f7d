"""Tables as CSV that a spreadsheet cannot take for formulas, and read back as they were.

The form is RFC 4180: commas, CRLF, every field in quotes, quotes doubled; UTF-8 with a byte order
mark, by which spreadsheets know it. A spreadsheet runs a cell that starts with =, +, - or @, and
one set to semicolons or tabs may cut a cell in two. So each part of a text, at its start and after
every semicolon, tab and line end, gets an apostrophe before it when it could run or when it starts
with an apostrophe itself. `read_csv` takes exactly these away again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from rehearse.errors import RehearseError

Item = TypeVar("Item")
ToldItem_contra = TypeVar("ToldItem_contra", contravariant=True)

_CUTS = re.compile("([;\t\r\n])")
_RUNS = re.compile(r"'|[\s\0\u200b\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20]")  # wide signs run too
_BLANK_STARTS = ("\t", "\r", "\n")


class TableError(RehearseError):
    """A CSV file that cannot be read."""


@dataclass(frozen=True)
class Field(Generic[ToldItem_contra]):
    """One documented column: its name, what it holds, and how it is told of an item."""

    name: str
    meaning: str
    told: Callable[[ToldItem_contra], str]


def guarded(text: str) -> str:
    """The text so that no spreadsheet runs it or a part of it."""
    parts = _CUTS.split(text)
    parts[::2] = [f"'{part}" if _RUNS.match(part) else part for part in parts[::2]]
    if text.startswith(_BLANK_STARTS):
        parts[0] = "'"
    return "".join(parts)


def unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    parts = _CUTS.split(text)
    parts[::2] = [part.removeprefix("'") for part in parts[::2]]
    return "".join(parts)


def to_csv(fields: Sequence[Field[Item]], items: Iterable[Item]) -> bytes:
    """One row an item under a row of names. Half letters, which UTF-8 lacks, stand as escapes."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow([field.name for field in fields])
    writer.writerows([guarded(field.told(item)) for field in fields] for item in items)
    return text.getvalue().encode("utf-8-sig", "backslashreplace")


def read_csv(content: bytes, name: str = "the table") -> tuple[Mapping[str, str], ...]:
    """The rows of a file that `to_csv` wrote, by column name.

    Raises:
        TableError: it is not UTF-8, or a row has not as many fields as there are names.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        mend = "save it as CSV UTF-8"
        raise TableError(f"{name}: byte {error.start} is not UTF-8; {mend}") from error
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        return _rows(reader, name)
    except csv.Error as error:
        raise TableError(f"{name}:{reader.line_num}: {error}; mend the quotes") from error


def _rows(reader: Iterable[list[str]], name: str) -> tuple[Mapping[str, str], ...]:
    rows = iter(reader)
    names = next(rows, [])
    found = []
    for number, row in enumerate(rows, 2):
        if len(row) != len(names):
            raise TableError(
                f"{name}: row {number} has {len(row)} fields, and {len(names)} are named; "
                "give one for each"
            )
        found.append(dict(zip(names, (unguarded(cell) for cell in row), strict=True)))
    return tuple(found)
