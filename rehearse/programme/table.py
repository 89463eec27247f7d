"""From a CSV file's bytes to rows by column name; what cannot be such a row is told."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.book.faults import START, Faults, Mark, nearest, shown

LIMIT = 50_000_000  # bytes; half a million results


@dataclass(frozen=True)
class Row:
    """One row of a table: the line it begins in, from 1, and its cells by column, in file order."""

    line: int
    cells: Mapping[str, str]


def read_rows(path: Path, columns: Sequence[str], faults: Faults) -> list[Row]:
    """The rows below the header; those that cannot be read are told and left out."""
    text = _read_text(path, faults)
    if text is None:
        return []
    lines = _lines(text, faults)
    header = next(lines, None)
    if header is None:
        if not faults:
            mend = f"begin it with a line that names the columns: {','.join(columns)}"
            faults.add(START, "file", "the file is empty", mend)
        return []
    names = _header(*header, columns, faults)
    if names is None:
        return []
    rows: list[Row] = []
    for line, cells in lines:
        if len(cells) == len(names):
            rows.append(Row(line, dict(zip(names, cells, strict=True))))
        else:
            fault = f"there are {len(cells)} cells, not {len(names)}"
            mend = "add or take out commas; put a cell that holds a comma in double quotes"
            faults.add(Mark(line, min(len(cells), len(names)) + 1), "line", fault, mend)
    if not rows and not faults:
        mend = "add a line for each past result"
        faults.add(Mark(header[0], 1), "file", "there are no results below the column names", mend)
    return rows


def _read_text(path: Path, faults: Faults) -> str | None:
    """Only a regular file of a sane size is read: a pipe could hang."""
    try:
        if not path.exists():
            faults.add(START, "file", "there is no such file", "check the name and the folder")
        elif not path.is_file():
            faults.add(START, "file", "this is not a file", "name a CSV file")
        elif path.stat().st_size > LIMIT:
            fault = f"it is larger than {LIMIT // 1_000_000} MB"
            faults.add(START, "file", fault, "split it into several files")
        else:
            return _decoded(path.read_bytes(), faults)
    except (OSError, ValueError) as error:  # ValueError: a name the system cannot even look up
        reason = getattr(error, "strerror", None) or str(error)
        fault = f"it cannot be read: {reason}"
        faults.add(START, "file", fault, "check its name and permissions")
    return None


def _decoded(content: bytes, faults: Faults) -> str | None:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = len(content[: error.start].splitlines()) or 1
        mend = "save the file as CSV with the encoding UTF-8"
        faults.add(Mark(line, 1), "file", "this is not UTF-8 text", mend)
        return None


def _lines(text: str, faults: Faults) -> Iterator[tuple[int, list[str]]]:
    """Each line that is not empty, with its number; a quoted cell may run over several."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield begins, cells
            begins = reader.line_num + 1
    except csv.Error as error:
        fault = f"the line cannot be read as CSV ({error})"
        mend = "close every double quote, and double those inside a quoted cell"
        faults.add(Mark(begins, 1), "line", fault, mend)


def _header(
    line: int, cells: list[str], columns: Sequence[str], faults: Faults
) -> list[str] | None:
    """The column names in file order; None when they are not exactly the known ones."""
    names = [cell.strip() for cell in cells]
    if len(names) == 1 and len(columns) > 1:
        mend = f"save the file with commas between the cells: {','.join(columns)}"
        faults.add(Mark(line, 1), "columns", f"{shown(names[0])} is one cell", mend)
        return None
    good = True
    for place, name in enumerate(names, start=1):
        if name in columns and name not in names[: place - 1]:
            continue
        good = False
        if name in columns:
            fault, mend = f"the column {shown(name)} stands here a second time", "keep one"
        else:
            close = nearest(name, [column for column in columns if column not in names])
            fault = f"the column {shown(name)} is unknown"
            mend = f"write '{close}'" if close else f"take it out (known: {', '.join(columns)})"
        faults.add(Mark(line, place), "columns", fault, mend)
    for column in columns:
        if column not in names:
            good = False
            mend = "add it, even when its cells are empty"
            faults.add(Mark(line, 1), "columns", f"the column '{column}' is missing", mend)
    return names if good else None
