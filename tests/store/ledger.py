"""What the scripted day did, kept by the test itself, and what follows from it by plain counting.

Nothing here uses the programme's or the store's arithmetic: months are counted by hand, verdicts
are taken as the script gave them.
"""

from __future__ import annotations

import calendar
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from rehearse.book.model import Procedure
from rehearse.programme.model import Element, Programme

Month = int  # years * 12 + months - 1


@dataclass
class Entry:
    """One check or past result. verdicts: by step, as they count; tool: as the tool gave them."""

    person: str
    element: str
    at: datetime
    day: date
    passed: bool
    procedure: str = ""
    revision: int = 0
    method: str = "oral"
    examiner: str = ""
    teacher: str = ""
    result: str = ""
    signed: bool = False
    past: bool = False
    tool: dict[str, str] = field(default_factory=dict)
    verdicts: dict[str, str] = field(default_factory=dict)
    overruled: list[tuple[str, str, str]] = field(default_factory=list)
    retrained: date | None = None

    @property
    def counts(self) -> bool:
        """Only what is sealed counts."""
        return self.signed or self.past

    @property
    def outcome(self) -> str:
        """As a report spells it."""
        if self.passed:
            return "passed"
        return "unclear" if "unclear" in self.verdicts.values() else "not passed"


def passes(procedure: Procedure, verdicts: dict[str, str]) -> bool:
    """All critical steps and the share; every take of the day is within its time."""
    said = [step for step in procedure.steps if verdicts[step.id] == "said"]
    critical = all(verdicts[step.id] == "said" for step in procedure.steps if step.critical)
    return critical and len(said) + 1e-9 >= procedure.pass_rule.share * len(procedure.steps)


@dataclass(frozen=True)
class Stands:
    """How one person stands with one element."""

    state: str
    until: date | None = None


def stands(
    entries: list[Entry],
    person: str,
    element: Element,
    on: date,
    revised: dict[str, tuple[int, date]],
) -> Stands:
    """The state at the end of a day. revised: number and day in force of each procedure."""
    known = [
        e
        for e in entries
        if e.person == person and e.element == element.id and e.counts and e.day <= on
    ]
    known.sort(key=lambda e: e.day)  # those of one day stay in the order they were recorded
    until: Month | None = None
    failed, last = list[str](), None
    blocked = False
    for entry in known:
        if (
            not entry.passed
            and not entry.past
            and (entry.retrained is None or entry.retrained > on)
        ):
            blocked = True
            break
        if not entry.passed:
            failed.append(entry.procedure)
            continue
        if element.method not in {"both", entry.method}:
            continue
        last = entry
        # What is on no procedure is on the whole element.
        failed = [name for name in failed if entry.procedure and name not in {"", entry.procedure}]
        until = _renewed(until, entry.day, element)
    in_force = [name for name in element.procedures if _applies(revised, name, on)]
    stale = last is not None and any(_is_stale(last, revised[name], name) for name in in_force)
    if blocked or failed:
        state = "retraining open" if blocked else "not passed"
    else:
        state = _by_date(until, element, on, stale=stale)
    return Stands(state, None if until is None else _last(until))


def _by_date(until: Month | None, element: Element, on: date, *, stale: bool) -> str:
    if until is None or on > _last(until):
        return "not yet checked" if until is None else "overdue"
    if stale:
        return "revision changed"
    if until == _month(on):
        return "due this month"
    return "in its window" if on >= _opens(until, element) else "current"


def _renewed(until: Month | None, day: date, element: Element) -> Month:
    fresh = _month(day) + element.period
    if until is None or day > _last(until):
        return fresh if until is None else max(until, fresh)
    return until + element.period if day >= _opens(until, element) else max(until, fresh)


def _opens(until: Month, element: Element) -> date:
    """The first day of the window; the day after the validity when there is none."""
    window = element.window
    if window.count == 0:
        return _last(until) + timedelta(days=1)
    if window.unit == "days":
        return _last(until) - timedelta(days=window.count - 1)
    first = until - window.count + 1
    return date(first // 12, first % 12 + 1, 1)


def _month(day: date) -> Month:
    return day.year * 12 + day.month - 1


def _last(month: Month) -> date:
    year, number = month // 12, month % 12 + 1
    return date(year, number, calendar.monthrange(year, number)[1])


def _applies(revised: dict[str, tuple[int, date]], name: str, on: date) -> bool:
    return name in revised and revised[name][1] <= on


def _is_stale(last: Entry, now: tuple[int, date], name: str) -> bool:
    number, effective = now
    return last.revision < number if last.procedure == name else last.day < effective


def theirs(programme: Programme, positions: tuple[str, ...], aircraft: str) -> list[Element]:
    """The elements that are for these positions on this aircraft."""
    return [
        element
        for element in programme.elements
        if (not element.positions or set(element.positions) & set(positions))
        and (not element.aircraft or aircraft in element.aircraft)
    ]


def kappa(pairs: list[tuple[str, str]]) -> float:
    """Cohen's kappa of pairs of verdicts."""
    total = len(pairs)
    first, second = Counter(a for a, _ in pairs), Counter(b for _, b in pairs)
    observed = sum(a == b for a, b in pairs) / total
    chance = sum(first[word] * second[word] for word in first) / total**2
    return (observed - chance) / (1 - chance)
