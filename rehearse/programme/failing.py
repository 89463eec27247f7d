"""`currency.still_failed` for many people and elements at once."""

from __future__ import annotations

import numpy as np

from rehearse.programme.columns import Columns
from rehearse.programme.months import Integers
from rehearse.programme.swept import Truths


def still_failed(columns: Columns, rows: Integers, cells: Integers, size: int) -> Truths:
    """The cells in which something was failed and has not been passed since.

    rows: those that count, by cell and in their order there. cells: the cell of each.
    """
    failed = np.zeros(size, np.bool_)
    failed[cells[columns.passed[rows] == 0]] = True
    kept = np.flatnonzero(failed[cells])  # nothing else can be of interest
    rows, cells = rows[kept], cells[kept]
    place, procedure = _on(columns, rows)
    cell, passed = cells[place], columns.passed[rows[place]] == 1
    whole = procedure == len(columns.procedures)

    key = cell * (len(columns.procedures) + 1) + procedure
    known, which = np.unique(key, return_inverse=True)
    same = _latest(which[passed], place[passed], known.size)[which]
    everything = _latest(cell[passed & whole], place[passed & whole], size)[cell]
    anything = _latest(cell[passed], place[passed], size)[cell]
    good = np.maximum(everything, np.where(whole, anything, same))

    failed[:] = False
    failed[cell[~passed & (place > good)]] = True
    return failed


def _on(columns: Columns, rows: Integers) -> tuple[Integers, Integers]:
    """Place among `rows` and procedure of all that each was on; one past the last for the whole."""
    place_of = np.full(columns.day.size, -1, np.int64)
    place_of[rows] = np.arange(rows.size)
    theirs = np.array(
        [
            [name in element.procedures for name in columns.procedures]
            for element in columns.elements
        ],
        np.bool_,
    ).reshape(len(columns.elements), len(columns.procedures))
    row, procedure, _ = columns.asked
    asked = (place_of[row] >= 0) & theirs[columns.element[row], procedure]
    place = place_of[row[asked]]
    bare = np.setdiff1d(np.arange(rows.size), place)
    return (
        np.concatenate([place, bare]),
        np.concatenate([procedure[asked], np.full(bare.size, len(columns.procedures))]),
    )


def _latest(of: Integers, place: Integers, size: int) -> Integers:
    """The last place of each of `size` things, -1 for none."""
    latest = np.full(size, -1, np.int64)
    np.maximum.at(latest, of, place)
    return latest
