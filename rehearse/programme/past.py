"""Past results from a CSV file: every line good, or every bad line told and nothing taken.

The file is UTF-8, with or without a byte order mark; cells are parted by commas, the first line
names the columns, which may stand in any order:

    staff_number  the operator's staff number, at most 40 characters
    element       id of an element of the programme
    date          local date of the check, year-month-day
    method        oral or practical
    outcome       passed or failed
    examiner      staff number of who held the check, as it was recorded
    remark        anything, at most 500 characters; may be empty

Empty lines, and lines with nothing but commas, are passed over. A fault's column is the cell's
place in its line, counted from 1.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rehearse.book.faults import Faults, Mark
from rehearse.programme.errors import PastError
from rehearse.programme.history import Outcome, Result
from rehearse.programme.model import Method, Programme
from rehearse.programme.table import Row, read_rows
from rehearse.programme.values import Reading, choice, day, known_id, text

COLUMNS = ("staff_number", "element", "date", "method", "outcome", "examiner", "remark")
METHODS: tuple[Method, ...] = ("oral", "practical")
OUTCOMES: tuple[Outcome, ...] = ("passed", "failed")
MAX_STAFF = 40  # characters
MAX_REMARK = 500  # characters


@dataclass(frozen=True)
class PastResult:
    """One line of the file. `line` counts from 1; `result` is what currency works on."""

    line: int
    result: Result
    examiner: str
    remark: str


def read_past(
    path: Path, programme: Programme, today: date, staff: Collection[str] | None = None
) -> tuple[PastResult, ...]:
    """The results in the file, in its order.

    today: local date; a check after it is a fault.
    staff: the staff numbers there are, so that any other is a fault; None when any may stand.

    Raises:
        PastError: the file cannot be read or a line has a fault; `problems` holds all of them.
    """
    faults = Faults(path)
    rows = read_rows(path, COLUMNS, faults)
    read = [(row, _past(row, programme, today, staff, faults)) for row in rows]
    past = [each for _, each in read if each is not None]
    _tell_doubled(past, faults)
    if faults:
        raise PastError(faults.problems)
    return tuple(past)


def not_counting(past: Iterable[PastResult], programme: Programme) -> list[PastResult]:
    """Passed checks by a method that their element does not allow: kept, but never counted."""
    allows = {element.id: element.allows for element in programme.elements}
    return [
        each
        for each in past
        if each.result.outcome == "passed" and not allows[each.result.element](each.result.method)
    ]


def _past(
    row: Row,
    programme: Programme,
    today: date,
    staff: Collection[str] | None,
    faults: Faults,
) -> PastResult | None:
    """The line's values, or None when one of them is faulty."""
    cells = Reading(row, faults)
    number = text(cells, "staff_number", MAX_STAFF)
    if number is not None and staff is not None:
        number = known_id(cells, "staff_number", staff, "add the person first")
    ids = [element.id for element in programme.elements]
    element = known_id(cells, "element", ids, f"name an element of {programme.id}")
    done = day(cells, "date", today)
    method = choice(cells, "method", METHODS)
    outcome = choice(cells, "outcome", OUTCOMES)
    examiner = text(cells, "examiner", MAX_STAFF)
    remark = text(cells, "remark", MAX_REMARK, empty=True)
    if (
        number is None
        or element is None
        or done is None
        or method is None
        or outcome is None
        or examiner is None
        or remark is None
    ):
        return None
    return PastResult(row.line, Result(number, element, done, method, outcome), examiner, remark)


def _tell_doubled(past: Sequence[PastResult], faults: Faults) -> None:
    """The same check twice would count twice."""
    first: dict[tuple[Result, str, str], int] = {}
    for each in past:
        line = first.setdefault((each.result, each.examiner, each.remark), each.line)
        if line != each.line:
            fault = f"the same check stands in line {line}"
            mend = "take one of the lines out, or say in 'remark' what is different"
            faults.add(Mark(each.line, 1), "line", fault, mend)
