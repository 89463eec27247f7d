"""What a sweep found: how every person stands with every element, by cell, and as values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from rehearse.programme.columns import Columns
from rehearse.programme.currency import DUE, STATES, Standing
from rehearse.programme.fold import NONE
from rehearse.programme.months import Integers, from_day_number, last_day

Truths = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Sweep:
    """One cell for each person and element, person by person: cell = person * elements + element.

    state: index into `STATES`.
    until: the month the validity ends with, or `fold.NONE`.
    last: row of the last passed check that counts, or -1.
    blocked: row of the first check whose retraining is open, or -1.
    opens: first day of the window, in days since 1970; only where there is a validity.
    stale: by procedure id, the cells in which it was revised since.
    """

    columns: Columns
    on: date
    state: Integers
    until: Integers
    last: Integers
    blocked: Integers
    opens: Integers
    stale: dict[str, Truths]

    def count(self) -> dict[str, int]:
        """How many cells are in each state."""
        counts = np.bincount(self.state, minlength=len(STATES))
        return {state: int(number) for state, number in zip(STATES, counts, strict=True)}

    def due(self) -> list[Standing]:
        """Everything that is to be done, most urgent first, as `listing.due` sorts it."""
        return self.standings(self.due_cells())

    def due_cells(self) -> Integers:
        """The cells that `due` tells of, in its order.

        Values take 7 microseconds each: of a list of hundreds of thousands, ask `standings` for
        the part that is shown.
        """
        codes = [index for index, state in enumerate(STATES) if state in DUE]
        cells = np.flatnonzero(np.isin(self.state, codes))
        people = _ranks([person.staff for person in self.columns.people])
        elements = _ranks([element.id for element in self.columns.elements])
        person, element = np.divmod(cells, max(len(self.columns.elements), 1))
        keys = (elements[element], people[person], self.until[cells], self.state[cells])
        return cells[np.lexsort(keys)]

    def standings(self, cells: Integers) -> list[Standing]:
        """These cells as values, in this order."""
        stale = self._stale_names(cells)
        width = len(self.columns.elements)
        rows = zip(
            cells.tolist(),
            self.state[cells].tolist(),
            _dates(self.columns.day, self.last[cells]),
            _ends(self.until[cells]),
            _dates(
                self.opens[cells], np.where(self.until[cells] == NONE, -1, np.arange(cells.size))
            ),
            _dates(self.columns.day, self.blocked[cells]),
            strict=True,
        )
        return [
            Standing(
                staff=self.columns.people[cell // width].staff,
                element=self.columns.elements[cell % width].id,
                on=self.on,
                state=STATES[state],
                last=last,
                valid_until=until,
                window_opens=opens,
                stale=stale.get(cell, ()),
                blocked_since=since,
            )
            for cell, state, last, until, opens, since in rows
        ]

    def _stale_names(self, cells: Integers) -> dict[int, tuple[str, ...]]:
        """The revised procedures of each of these cells that has any, in its element's order."""
        found: dict[int, tuple[str, ...]] = {}
        any_stale = np.logical_or.reduce([np.zeros(cells.size, np.bool_), *self._stale_at(cells)])
        for cell in cells[any_stale].tolist():
            element = self.columns.elements[cell % len(self.columns.elements)]
            found[cell] = tuple(
                name for name in element.procedures if name in self.stale and self.stale[name][cell]
            )
        return found

    def _stale_at(self, cells: Integers) -> list[Truths]:
        return [mask[cells] for mask in self.stale.values()]


def _ranks(names: list[str]) -> Integers:
    """The place of each name when they are sorted."""
    ranks = np.empty(len(names), np.int64)
    ranks[sorted(range(len(names)), key=names.__getitem__)] = np.arange(len(names))
    return ranks


def _ends(months: Integers) -> list[date | None]:
    """The last day of each numbered month, None for `NONE`."""
    known = {month: last_day(month) for month in np.unique(months).tolist() if month != NONE}
    return [known.get(month) for month in months.tolist()]


def _dates(days: Integers, rows: Integers) -> list[date | None]:
    """The day of each of these rows, None for -1; each day becomes a date once."""
    numbers = np.full(rows.size, -1, np.int64)
    there = rows >= 0
    if not there.any():
        return [None] * rows.size
    found, numbers[there] = np.unique(days[rows[there]], return_inverse=True)
    dates = [*(from_day_number(day) for day in found.tolist()), None]
    return [dates[number] for number in numbers.tolist()]
