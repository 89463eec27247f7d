"""What one cell of a table may be: text, a known id, a date, one of a few words."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.source import INVISIBLE
from rehearse.programme.table import Row

EARLIEST = date(1950, 1, 1)  # anything older is a slip of the pen

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LINE_ENDS = re.compile(r"[\r\n\t]+")

Word = TypeVar("Word", bound=str)


@dataclass(frozen=True)
class Reading:
    """A row being read, and where its faults go."""

    row: Row
    faults: Faults

    def cell(self, column: str) -> str:
        """What stands in the column, without white space at its ends."""
        return self.row.cells[column].strip()

    def tell(self, column: str, fault: str, mend: str) -> None:
        """Note a fault of the cell in this column."""
        place = list(self.row.cells).index(column) + 1
        self.faults.add(Mark(self.row.line, place), column, fault, mend)


def text(cells: Reading, column: str, most: int, *, empty: bool = False) -> str | None:
    """One line of text; line ends and tabs in it become spaces."""
    found = _LINE_ENDS.sub(" ", cells.cell(column))
    invisible = INVISIBLE.search(found)
    if not found and not empty:
        cells.tell(column, "it is empty", "write it in, or take the line out")
    elif len(found) > most:
        cells.tell(column, f"it has {len(found)} characters, more than {most}", "shorten it")
    elif invisible is not None:
        fault = f"there is an invisible character in it (U+{ord(invisible[0]):04X})"
        cells.tell(column, fault, "delete it, or type the cell anew")
    else:
        return found
    return None


def known_id(cells: Reading, column: str, known: Collection[str], otherwise: str) -> str | None:
    """One of the known ids."""
    found = cells.cell(column)
    if found in known:
        return found
    if not found:
        cells.tell(column, "it is empty", "write it in, or take the line out")
        return None
    close = nearest(found, known)
    mend = f"write '{close}', or {otherwise}" if close else otherwise
    cells.tell(column, f"{shown(found)} is not known", mend)
    return None


def day(cells: Reading, column: str, today: date) -> date | None:
    """A date from 1950 to today."""
    mend = "write year-month-day, as 2026-10-01"
    found = cells.cell(column)
    try:
        read = date.fromisoformat(found) if _DAY.fullmatch(found) else None
    except ValueError:
        cells.tell(column, f"there is no day {shown(found)}", mend)
        return None
    if read is None:
        fault = f"{shown(found)} is not a date" if found else "it is empty"
        cells.tell(column, fault, mend)
    elif read > today:
        cells.tell(column, f"{read} is after today, {today}", "correct the date")
    elif read < EARLIEST:
        cells.tell(column, f"{read} is before {EARLIEST}", "correct the date")
    else:
        return read
    return None


def choice(cells: Reading, column: str, words: tuple[Word, ...]) -> Word | None:
    """One of a few words."""
    found = cells.cell(column)
    for word in words:
        if found == word:
            return word
    listed = " or ".join(words)
    close = nearest(found, words)
    fault = f"{shown(found)} is not known here" if found else "it is empty"
    cells.tell(column, fault, f"write {close} ({listed})" if close else f"write {listed}")
    return None
