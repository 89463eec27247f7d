"""How one person stands with one element on any date: pure arithmetic on local dates.

A passed check is valid until the end of its month plus the element's period. A passed check inside
the window counts from the validity it renews; one before the window, or after the validity has
ended, counts from the end of its own month. No passed check shortens what an earlier one gave.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Literal, get_args

from rehearse.book.model import Procedure, Revision
from rehearse.programme.history import Person, Result
from rehearse.programme.model import Element
from rehearse.programme.months import last_day, month_of, window_opens

State = Literal[
    "blocked",
    "failed",
    "never",
    "overdue",
    "stale",
    "due",
    "in_window",
    "current",
    "not_required",
    "not_employed",
]
STATES: tuple[State, ...] = get_args(State)  # most urgent first
DUE = frozenset(STATES[: STATES.index("current")])  # states in which something is to be done

Revisions = Mapping[str, Sequence[Revision]]
NO_REVISIONS: Revisions = MappingProxyType({})


@dataclass(frozen=True)
class Standing:
    """How a person stands with an element at the end of a day.

    The first state that fits is told:

    not_employed: not yet or no longer employed.
    not_required: the element is for other positions or aircraft.
    blocked: a check's retraining is still open; that check and later ones do not count yet.
    failed: what was failed has not been passed since (`still_failed`).
    never: no passed check counts.
    overdue: the validity has ended.
    stale: valid, but a procedure was revised since the last passed check.
    due: the validity ends with this calendar month.
    in_window: a check from now on keeps the anchor.
    current: nothing is to be done yet.

    last: day of the last passed check that counts, or None.
    valid_until: last day of the validity that passed checks gave, or None. Being blocked or failed
        takes it away whatever this date is.
    window_opens: first day of its window; the day after `valid_until` when the element has none.
    stale: ids of the procedures revised since, in whatever state.
    blocked_since: day of the first check whose retraining is open, or None.
    """

    staff: str
    element: str
    on: date
    state: State
    last: date | None = None
    valid_until: date | None = None
    window_opens: date | None = None
    stale: tuple[str, ...] = ()
    blocked_since: date | None = None


def standing(
    element: Element,
    person: Person,
    results: Iterable[Result],
    on: date,
    revisions: Revisions = NO_REVISIONS,
) -> Standing:
    """How the person stands with the element at the end of day `on`.

    results: in the order they were recorded, which decides between checks of one day. Those of
        other persons and elements, of later days and from before the first employment are
        passed over.
    revisions: every known revision of each procedure id; one that is not named never goes stale.
    """
    if not person.employed_on(on):
        return Standing(person.staff, element.id, on, "not_employed")
    if not person.needs(element):
        return Standing(person.staff, element.id, on, "not_required")
    known = _known(element, person, results, on)
    opened = [index for index, result in enumerate(known) if _is_open(result, on)]
    counting = [
        result
        for result in known[: opened[0] if opened else None]
        if result.outcome == "failed" or element.allows(result.method)
    ]
    passed = [result for result in counting if result.outcome == "passed"]
    until = valid_month(element, [result.day for result in passed])
    stale = _stale(element, passed[-1], on, revisions) if passed else ()
    if opened:
        state: State = "blocked"
    elif still_failed(element, counting):
        state = "failed"
    else:
        state = _by_date(element, until, on, bool(stale))
    return Standing(
        staff=person.staff,
        element=element.id,
        on=on,
        state=state,
        last=passed[-1].day if passed else None,
        valid_until=None if until is None else last_day(until),
        window_opens=None if until is None else window_opens(element, until),
        stale=stale,
        blocked_since=known[opened[0]].day if opened else None,
    )


def valid_month(element: Element, passed: Iterable[date]) -> int | None:
    """The month that the validity ends with, after passed checks on these days, in their order."""
    until: int | None = None
    for day in passed:
        counted = month_of(day) + element.period
        if until is None:
            until = counted
        elif window_opens(element, until) <= day <= last_day(until):
            until += element.period
        else:
            until = max(until, counted)
    return until


def still_failed(element: Element, counting: Iterable[Result]) -> frozenset[str]:
    """What was failed and not passed since: procedures, "" for a failure that names none.

    counting: checks that count, in their order. A pass makes good the failures of the procedures
        it was on. A check on none that is recorded, or on none of the element's any more, is on
        the whole element: its pass makes good everything, and any pass its failure.
    """
    failed: frozenset[str] = frozenset()
    for result in counting:
        on = {name for name, _ in result.revisions if name in element.procedures}
        if result.outcome == "failed":
            failed |= on or {""}
        else:
            failed = failed - on - {""} if on else frozenset()
    return failed


def in_force(history: Iterable[Revision], on: date) -> Revision | None:
    """The revision that is in force on this day: the last to take effect; None before the first."""
    effective = [revision for revision in history if revision.effective <= on]
    return max(effective, key=lambda each: (each.effective, each.number), default=None)


def revisions_of(procedures: Iterable[Procedure]) -> dict[str, tuple[Revision, ...]]:
    """The revisions that these procedures hold, by procedure id; several of one id are joined."""
    found: dict[str, tuple[Revision, ...]] = {}
    for procedure in procedures:
        found[procedure.id] = (*found.get(procedure.id, ()), procedure.revision)
    return found


def _known(element: Element, person: Person, results: Iterable[Result], on: date) -> list[Result]:
    """What is known of this person and element at the end of the day, oldest first."""
    begun = person.employed or date.min
    own = (each for each in results if (each.staff, each.element) == (person.staff, element.id))
    return sorted((each for each in own if begun <= each.day <= on), key=lambda each: each.day)


def _is_open(result: Result, on: date) -> bool:
    return result.retraining is not None and result.retraining.open_on(on)


def _stale(element: Element, last: Result, on: date, revisions: Revisions) -> tuple[str, ...]:
    """The element's procedures that were revised since, in the element's order.

    A recorded revision number decides; where none is recorded, whether the revision in force took
    effect after the day of the check.
    """
    recorded = dict(last.revisions)
    stale: list[str] = []
    for procedure in element.procedures:
        now = in_force(revisions.get(procedure, ()), on)
        if now is None:
            continue
        if procedure in recorded:
            changed = recorded[procedure] < now.number
        else:
            changed = last.day < now.effective
        if changed:
            stale.append(procedure)
    return tuple(stale)


def _by_date(element: Element, until: int | None, on: date, stale: bool) -> State:
    if until is None:
        return "never"
    if on > last_day(until):
        return "overdue"
    if stale:
        return "stale"
    if month_of(on) == until:
        return "due"
    return "in_window" if on >= window_opens(element, until) else "current"
