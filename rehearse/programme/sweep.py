"""How everyone stands with everything on one date, from columns: the same answers as `standing`."""

from __future__ import annotations

from datetime import date

import numpy as np

from rehearse.programme.columns import Columns, employed_days
from rehearse.programme.currency import NO_REVISIONS, STATES, Revisions, in_force
from rehearse.programme.failing import still_failed
from rehearse.programme.fold import NONE, opening_days, valid_months
from rehearse.programme.months import Integers, day_number, month_of
from rehearse.programme.swept import Sweep, Truths


def sweep(columns: Columns, on: date, revisions: Revisions = NO_REVISIONS) -> Sweep:
    """How every person stands with every element at the end of day `on`, as `standing` tells it."""
    absent, needless = _not_asked(columns, on)
    open_to = ~(absent | needless)
    rows, cells = _sorted(columns, on, open_to)
    blocked, counting = _retraining(columns, rows, cells, day_number(on), open_to.size)
    passed = columns.passed[rows] == 1
    relevant = counting & (~passed | _allowed(columns, rows))
    failed = still_failed(columns, rows[relevant], cells[relevant], open_to.size)
    until, last = _validity(columns, rows[relevant & passed], cells[relevant & passed], failed.size)
    opens = _opens(columns, until)
    stale = _stale(columns, last, on, revisions)
    month = month_of(on)
    any_stale = np.logical_or.reduce([np.zeros(failed.size, np.bool_), *stale.values()])
    conditions: dict[str, Truths] = {
        "not_employed": absent,
        "not_required": needless,
        "blocked": blocked >= 0,
        "failed": failed,
        "never": until == NONE,
        "overdue": until < month,
        "stale": any_stale,
        "due": until == month,
        "in_window": opens <= day_number(on),
    }
    state = np.select(
        list(conditions.values()),
        [STATES.index(name) for name in conditions],
        STATES.index("current"),
    )
    return Sweep(columns, on, state, until, last, blocked, opens, stale)


def _not_asked(columns: Columns, on: date) -> tuple[Truths, Truths]:
    """The cells of people who are not employed, and those of elements that are not theirs."""
    width = len(columns.elements)
    absent = np.array([not person.employed_on(on) for person in columns.people], np.bool_)
    kinds = {(person.positions, person.aircraft): person for person in columns.people}
    needless = {
        kind: [not person.needs(element) for element in columns.elements]
        for kind, person in kinds.items()
    }
    lines = [needless[person.positions, person.aircraft] for person in columns.people]
    return np.repeat(absent, width), np.array(lines, np.bool_).reshape(-1)


def _sorted(columns: Columns, on: date, open_to: Truths) -> tuple[Integers, Integers]:
    """The rows that are known on the day, by cell and day, in recorded order; and their cells."""
    cell = columns.person * len(columns.elements) + columns.element
    begun = employed_days(columns.people)
    known = np.flatnonzero(
        (columns.day <= day_number(on)) & (columns.day >= begun[columns.person]) & open_to[cell]
    )
    cell, day = cell[known], columns.day[known]
    earliest = int(day.min(initial=0))
    span = int(day.max(initial=0)) - earliest + 1
    order = np.argsort(cell * span + (day - earliest), kind="stable")
    return known[order], cell[order]


def _retraining(
    columns: Columns, rows: Integers, cells: Integers, today: int, size: int
) -> tuple[Integers, Truths]:
    """The first row with open retraining of each cell, and which rows come before it."""
    still = np.flatnonzero(columns.closed[rows] > today)
    which, first = np.unique(cells[still], return_index=True)
    blocked = np.full(size, -1, np.int64)
    blocked[which] = rows[still[first]]
    place = np.full(size, rows.size, np.int64)
    place[which] = still[first]
    return blocked, np.arange(rows.size) < place[cells]


def _allowed(columns: Columns, rows: Integers) -> Truths:
    """Whether each row's method counts for its element."""
    table = [(element.allows("practical"), element.allows("oral")) for element in columns.elements]
    allowed: Truths = np.array(table, np.bool_).reshape(-1, 2)[
        columns.element[rows], columns.oral[rows]
    ]
    return allowed


def _run_ends(values: Integers) -> Integers:
    """Index of the last of each run of equal values."""
    return np.flatnonzero(
        np.append(values[1:] != values[:-1], np.ones(min(values.size, 1), np.bool_))
    )


def _validity(
    columns: Columns, rows: Integers, cells: Integers, size: int
) -> tuple[Integers, Integers]:
    """The month the validity of each cell ends with, and the row of its last passed check."""
    until, last = np.full(size, NONE, np.int64), np.full(size, -1, np.int64)
    ends = _run_ends(cells)
    sizes = np.diff(ends, prepend=-1)
    which = cells[ends]
    months = valid_months(
        columns.elements, columns.element[rows[ends]], ends - sizes + 1, sizes, columns.day[rows]
    )
    until[which], last[which] = months, rows[ends]
    return until, last


def _opens(columns: Columns, until: Integers) -> Integers:
    """The first day of each cell's window; far off where there is no validity."""
    opens = np.full(until.size, np.iinfo(np.int64).max)
    valid = np.flatnonzero(until != NONE)
    opens[valid] = opening_days(columns.elements, valid % len(columns.elements), until[valid])
    return opens


def _stale(columns: Columns, last: Integers, on: date, revisions: Revisions) -> dict[str, Truths]:
    """By procedure, the cells whose last passed check was before the revision in force."""
    stale: dict[str, Truths] = {}
    asked = _asked_last(columns, last)
    for index, element in enumerate(columns.elements):
        own = np.arange(index, last.size, len(columns.elements))
        own = own[last[own] >= 0]
        for name in element.procedures:
            now = in_force(revisions.get(name, ()), on)
            if now is None:
                continue
            numbers = _numbers(asked, last[own], columns.procedures.index(name), columns)
            before = columns.day[last[own]] < day_number(now.effective)
            changed = np.where(numbers >= 0, numbers < now.number, before)
            stale.setdefault(name, np.zeros(last.size, np.bool_))[own] |= changed
    return stale


def _asked_last(columns: Columns, last: Integers) -> tuple[Integers, Integers]:
    """Keys of row and procedure, rising, and revision numbers, of last passed checks alone."""
    row, procedure, number = columns.asked
    counts = np.zeros(columns.day.size, np.bool_)
    counts[last[last >= 0]] = True
    kept = np.flatnonzero(counts[row])
    key = row[kept] * len(columns.procedures) + procedure[kept]
    order = np.argsort(key, kind="stable")
    return key[order], number[kept][order]


def _numbers(
    asked: tuple[Integers, Integers], rows: Integers, procedure: int, columns: Columns
) -> Integers:
    """The recorded revision number of the procedure in each row, -1 where there is none."""
    keys, numbers = asked
    wanted = rows * len(columns.procedures) + procedure
    place = np.minimum(np.searchsorted(keys, wanted), max(keys.size - 1, 0))
    if not keys.size:
        return np.full(rows.size, -1, np.int64)
    return np.where(keys[place] == wanted, numbers[place], -1)
