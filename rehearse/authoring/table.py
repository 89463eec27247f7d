"""A table of steps, CSV or XLSX, read into rows that know their line."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rehearse.authoring.columns import COLUMNS, REQUIRED
from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.source import INVISIBLE, read_text

MOST_ROWS = 5000
MOST_BYTES = 5_000_000  # of an XLSX file
MOST_UNPACKED = 60_000_000  # bytes of what an XLSX file holds


@dataclass(frozen=True)
class Row:
    """One line of the table. cells: by column, white space made single; line counts from 1.

    figures: columns whose cell is a number in the file, so that "4.10" may have become "4.1".
    """

    line: int
    cells: Mapping[str, str]
    figures: frozenset[str] = frozenset()


def read_csv(path: Path) -> list[Row]:
    """The rows of a CSV file, parted by commas, semicolons or tabs, UTF-8.

    Raises:
        BookError: it cannot be read, or its columns are not those of a table of steps.
    """
    faults = Faults(path)
    text = read_text(path, faults)
    if text is None or faults:
        raise faults.error()
    first = text.partition("\n")[0]
    parted = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True)
    lines: list[tuple[int, Sequence[Any]]] = []
    line = 1
    try:
        for cells in reader:
            lines.append((line, cells))
            line = reader.line_num + 1
    except csv.Error as error:
        mend = "close every quotation mark, and double those inside a cell"
        faults.add(Mark(line, 1), "table", f"the line cannot be read ({error})", mend)
        raise faults.error() from error
    return _rows(lines, faults)


def read_xlsx(path: Path, sheet: str = "") -> list[Row]:
    """The rows of a sheet of an XLSX file, the first when none is named; formulas as last shown.

    Raises:
        BookError: it cannot be read, has no such sheet, or its columns are not those of a table
            of steps.
    """
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    faults = Faults(path)
    _check_size(path, faults)
    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    except (OSError, KeyError, ValueError, zipfile.BadZipFile, InvalidFileException) as error:
        faults.add(Mark(1, 1), "file", "this is no XLSX file", "save it anew as .xlsx, or as CSV")
        raise faults.error() from error
    try:
        named = sheet or book.sheetnames[0]
        if named not in book.sheetnames:
            close = nearest(named, book.sheetnames)
            mend = f"did you mean {shown(close)}?" if close else "name one that is there"
            faults.add(Mark(1, 1), "sheet", f"there is no sheet {shown(named)}", mend)
            raise faults.error()
        lines = enumerate(book[named].iter_rows(values_only=True), start=1)
        return _rows(lines, faults)
    finally:
        book.close()


def _check_size(path: Path, faults: Faults) -> None:
    """Raise BookError for what is no file, or unpacks to more than any table of steps."""
    try:
        if not path.is_file():
            faults.add(Mark(1, 1), "file", "there is no such file", "check the name and the folder")
        elif path.stat().st_size > MOST_BYTES or _unpacked(path) > MOST_UNPACKED:
            mend = "keep only the sheet with the steps"
            faults.add(Mark(1, 1), "file", "it is too large for a table of steps", mend)
    except (OSError, zipfile.BadZipFile) as error:
        faults.add(Mark(1, 1), "file", "this is no XLSX file", "save it anew as .xlsx, or as CSV")
        raise faults.error() from error
    if faults:
        raise faults.error()


def _unpacked(path: Path) -> int:
    with zipfile.ZipFile(path) as packed:
        return sum(part.file_size for part in packed.infolist())


def _rows(lines: Iterable[tuple[int, Sequence[Any]]], faults: Faults) -> list[Row]:
    """The rows below the line with the columns' names; empty ones are passed over."""
    rest = iter(lines)
    head = next(((n, cells) for n, cells in rest if any(map(_text, cells))), None)
    if head is None:
        faults.add(Mark(1, 1), "table", "it is empty", f"name the columns: {', '.join(COLUMNS)}")
        raise faults.error()
    names = _names(head[0], head[1], faults)
    if faults:
        raise faults.error()
    return list(_below(rest, names, faults))


def _names(line: int, cells: Sequence[Any], faults: Faults) -> list[str]:
    names = [_text(cell).lower() for cell in cells]
    for at, name in enumerate(names, start=1):
        mark = Mark(line, at)
        if name and name not in COLUMNS:
            close = nearest(name, [c for c in COLUMNS if c not in names])
            mend = f"write '{close}'" if close else f"take it out (known: {', '.join(COLUMNS)})"
            faults.add(mark, f"column {at}", f"the column {shown(name)} is unknown", mend)
        elif name and name in names[: at - 1]:
            faults.add(mark, f"column {at}", f"{shown(name)} is there twice", "keep one")
    for name in REQUIRED:
        if name not in names:
            fault, mend = f"the column '{name}' is missing", "add it to the first line"
            faults.add(Mark(line, 1), "table", fault, mend)
    return names


def _below(
    lines: Iterable[tuple[int, Sequence[Any]]], names: Sequence[str], faults: Faults
) -> Iterator[Row]:
    count = 0
    for line, cells in lines:
        texts = [_text(cell) for cell in cells]
        if not any(texts):
            continue
        count += 1
        if count > MOST_ROWS:
            mend = "split the table into several files"
            faults.add(Mark(line, 1), "table", f"it has more than {MOST_ROWS} rows", mend)
            raise faults.error()
        if any(texts[len(names) :]):
            mend = "put a cell that holds the separator into quotation marks"
            faults.add(Mark(line, len(names) + 1), "table", "the line has too many cells", mend)
            raise faults.error()
        figures = {n for n, cell in zip(names, cells, strict=False) if isinstance(cell, float)}
        found = {name: text for name, text in zip(names, texts, strict=False) if name}
        yield Row(line, found, frozenset(figures))


def _text(cell: Any) -> str:  # noqa: ANN401 - whatever a spreadsheet cell holds
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return " ".join(INVISIBLE.sub(" ", str(cell)).split())
