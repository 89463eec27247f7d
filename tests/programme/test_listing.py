from __future__ import annotations

import time
from datetime import date

import numpy as np

from rehearse.programme.columns import NO_RETRAINING, OPEN, Columns
from rehearse.programme.history import Outcome, Person, Result, Retraining
from rehearse.programme.listing import by_element, by_person, due_on, record_of
from rehearse.programme.model import Element, Window
from rehearse.programme.sweep import sweep

ON = date(2026, 11, 25)


def element(name: str) -> Element:
    """A yearly element for everyone, with three months' window."""
    return Element(name, name, (), (), (), 12, Window(3, "months"), "both", "r", 36)


def done(staff: str, name: str, day: str, outcome: Outcome = "passed") -> Result:
    """An oral check; a failed one leaves its retraining open."""
    retraining = Retraining() if outcome == "failed" else None
    return Result(staff, name, date.fromisoformat(day), "oral", outcome, (), retraining)


ELEMENTS = [element("fire"), element("doors")]
PEOPLE = [Person("F3"), Person("F1"), Person("F2", left=date(2026, 11, 24))]
RESULTS = [
    done("F1", "doors", "2025-11-03"),  # valid to 30 November 2026: due
    done("F1", "fire", "2025-09-03"),  # to 30 September 2026: overdue
    done("F3", "doors", "2026-01-31"),  # to 31 January 2027: in the window
    done("F3", "fire", "2026-03-01"),
    done("F3", "fire", "2026-04-01", "failed"),  # blocked
    done("F2", "doors", "2020-01-01"),  # left yesterday
]


def test_the_most_urgent_comes_first() -> None:
    """Blocked, overdue, due, in the window; who has left is not on the list."""
    listed = [
        (each.staff, each.element, each.state) for each in due_on(ELEMENTS, PEOPLE, RESULTS, ON)
    ]
    assert listed == [
        ("F3", "fire", "blocked"),
        ("F1", "fire", "overdue"),
        ("F1", "doors", "due"),
        ("F3", "doors", "in_window"),
    ]


def test_by_person_and_by_element() -> None:
    """People by staff number, elements as the programme has them, urgent ones first in each."""
    listed = due_on(ELEMENTS, PEOPLE, RESULTS, ON)
    persons = [
        (group.person.staff, [each.element for each in group.standings])
        for group in by_person(listed, PEOPLE)
    ]
    assert persons == [("F1", ["fire", "doors"]), ("F3", ["fire", "doors"])]
    groups = [
        (group.element.id, [each.staff for each in group.standings])
        for group in by_element(listed, ELEMENTS)
    ]
    assert groups == [("fire", ["F3", "F1"]), ("doors", ["F1", "F3"])]


def test_one_record_tells_what_is_current_too() -> None:
    """A person's own record holds every element of theirs in the programme's order."""
    record = record_of(PEOPLE[0], ELEMENTS, RESULTS, date(2026, 3, 31))
    assert [(each.element, each.state) for each in record] == [
        ("fire", "current"),
        ("doors", "current"),
    ]


def test_ten_times_the_results_take_about_ten_times_as_long() -> None:
    """The due list of 5,000 people grows with the results, not with their square."""
    few, many = _history(100_000), _history(1_000_000)
    quick = min(_seconds(few) for _ in range(3))
    assert _seconds(many) < 30 * quick


def _history(count: int) -> Columns:
    """Checks of 5,000 people on 20 elements over the years, now and then failed and retrained."""
    random = np.random.default_rng(8)
    day = np.sort(random.integers(16_000, 20_700, count))
    return Columns(
        people=tuple(Person(f"F{number:04}") for number in range(5_000)),
        elements=tuple(element(f"e{number:02}") for number in range(20)),
        procedures=(),
        person=random.integers(0, 5_000, count),
        element=random.integers(0, 20, count),
        day=day,
        oral=np.ones(count, np.int64),
        passed=(random.random(count) < 0.97).astype(np.int64),
        closed=np.where(
            random.random(count) < 0.01,
            np.where(random.random(count) < 0.95, day + 20, OPEN),
            NO_RETRAINING,
        ),
        asked=(np.empty(0, np.int64), np.empty(0, np.int64), np.empty(0, np.int64)),
    )


def _seconds(table: Columns) -> float:
    """How long the due list takes; everyone is counted once for each element."""
    begun = time.perf_counter()
    swept = sweep(table, ON)
    listed = swept.due()
    took = time.perf_counter() - begun
    assert len(listed) > 10_000
    assert sum(swept.count().values()) == 100_000
    return took
