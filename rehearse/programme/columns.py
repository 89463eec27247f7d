"""Many results at once, one array a column: what `sweep` works on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

import numpy as np

from rehearse.programme.history import Person, Result
from rehearse.programme.model import Element
from rehearse.programme.months import Integers, day_number

NO_RETRAINING = -(2**31)
OPEN = 2**31 - 1


@dataclass(frozen=True)
class Columns:
    """Results of one operator in the order they were recorded; row i is the i-th of each array.

    person, element: index into `people` and `elements`.
    day: days since 1 January 1970 of the check's local date.
    oral, passed: 1 or 0.
    closed: day on which the retraining was closed; `OPEN` while it is not, `NO_RETRAINING` when
        the check led to none.
    asked: (row, procedure, revision number) of each recorded revision, three arrays of one length,
        by rising row; the procedure is an index into `procedures`.
    """

    people: tuple[Person, ...]
    elements: tuple[Element, ...]
    procedures: tuple[str, ...]
    person: Integers
    element: Integers
    day: Integers
    oral: Integers
    passed: Integers
    closed: Integers
    asked: tuple[Integers, Integers, Integers]


def columns(
    elements: Sequence[Element], people: Sequence[Person], results: Iterable[Result]
) -> Columns:
    """The results as columns; those of people or elements that are not given are left out."""
    person_at = {person.staff: index for index, person in enumerate(people)}
    element_at = {element.id: index for index, element in enumerate(elements)}
    kept = [each for each in results if each.staff in person_at and each.element in element_at]
    names = dict.fromkeys(chain.from_iterable(element.procedures for element in elements))
    procedure_at = {name: index for index, name in enumerate(names)}
    asked = [
        (row, procedure_at[name], number)
        for row, result in enumerate(kept)
        for name, number in dict(result.revisions).items()
        if name in procedure_at
    ]
    return Columns(
        people=tuple(people),
        elements=tuple(elements),
        procedures=tuple(names),
        person=_array(person_at[result.staff] for result in kept),
        element=_array(element_at[result.element] for result in kept),
        day=_array(day_number(result.day) for result in kept),
        oral=_array(result.method == "oral" for result in kept),
        passed=_array(result.outcome == "passed" for result in kept),
        closed=_array(_closed(result) for result in kept),
        asked=(
            _array(row for row, _, _ in asked),
            _array(procedure for _, procedure, _ in asked),
            _array(number for _, _, number in asked),
        ),
    )


def employed_days(people: Sequence[Person]) -> Integers:
    """The first day that counts of each person, the earliest of all where none is recorded."""
    return _array(day_number(person.employed or date.min) for person in people)


def _closed(result: Result) -> int:
    if result.retraining is None:
        return NO_RETRAINING
    return OPEN if result.retraining.closed is None else day_number(result.retraining.closed)


def _array(values: Iterable[int]) -> Integers:
    return np.fromiter(values, np.int64)
