"""Who is due on a given date, sorted, as values for reports: in all, by person, by element."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from rehearse.programme.columns import columns
from rehearse.programme.currency import DUE, NO_REVISIONS, STATES, Revisions, Standing, standing
from rehearse.programme.history import Person, Result
from rehearse.programme.model import Element
from rehearse.programme.sweep import sweep

_URGENCY = {state: rank for rank, state in enumerate(STATES)}


@dataclass(frozen=True)
class PersonDue:
    """What one person is due for, most urgent first."""

    person: Person
    standings: tuple[Standing, ...]


@dataclass(frozen=True)
class ElementDue:
    """Who is due for one element, most urgent first."""

    element: Element
    standings: tuple[Standing, ...]


def due_on(
    elements: Sequence[Element],
    people: Sequence[Person],
    results: Iterable[Result],
    on: date,
    revisions: Revisions = NO_REVISIONS,
) -> list[Standing]:
    """Everything that is to be done at the end of day `on`, sorted as `due` sorts it.

    people: with staff numbers that differ, as elements with ids that do.
    """
    return sweep(columns(elements, people, results), on, revisions).due()


def due(standings: Iterable[Standing]) -> list[Standing]:
    """Those in which something is to be done: by state, valid date, staff number and element."""
    return sorted((each for each in standings if each.state in DUE), key=_order)


def record_of(
    person: Person,
    elements: Iterable[Element],
    results: Iterable[Result],
    on: date,
    revisions: Revisions = NO_REVISIONS,
) -> list[Standing]:
    """How one person stands with every element that is theirs, in the programme's order."""
    own = [result for result in results if result.staff == person.staff]
    found = [standing(element, person, own, on, revisions) for element in elements]
    return [each for each in found if each.state != "not_required"]


def by_person(standings: Iterable[Standing], people: Iterable[Person]) -> list[PersonDue]:
    """What is due, by person in the order of staff numbers; who is due for nothing is left out."""
    known = {person.staff: person for person in people}
    ordered = sorted(due(standings), key=lambda each: each.staff)
    return [
        PersonDue(known[staff], tuple(group))
        for staff, group in groupby(ordered, key=lambda each: each.staff)
    ]


def by_element(standings: Iterable[Standing], elements: Sequence[Element]) -> list[ElementDue]:
    """Who is due, by element in the programme's order; elements nobody is due for are left out."""
    groups: dict[str, list[Standing]] = {}
    for each in due(standings):
        groups.setdefault(each.element, []).append(each)
    return [
        ElementDue(element, tuple(groups[element.id]))
        for element in elements
        if element.id in groups
    ]


def _order(each: Standing) -> tuple[int, date, str, str]:
    return _URGENCY[each.state], each.valid_until or date.min, each.staff, each.element
