"""Currency against a slow calculation that knows nothing but how one day follows another."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rehearse.book.model import Revision
from rehearse.programme import fold
from rehearse.programme.columns import columns
from rehearse.programme.currency import DUE, Revisions, Standing, standing
from rehearse.programme.history import Person, Result, Retraining
from rehearse.programme.listing import due, due_on
from rehearse.programme.model import Element, Window
from rehearse.programme.sweep import sweep

DAY = timedelta(days=1)
THOROUGH = settings(
    max_examples=400,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def month_end(day: date) -> date:
    """Walk on until the month changes."""
    while (day + DAY).month == day.month:
        day += DAY
    return day


def renewed(end: date, months: int) -> date:
    """Walk from month's end to month's end."""
    for _ in range(months):
        end = month_end(end + DAY)
    return end


def window_days(end: date, window: Window) -> set[date]:
    """Walk back from the last valid day, counting days or the months they are in."""
    days: set[date] = set()
    day = end
    while True:
        counted = days | {day}
        size = len({(each.year, each.month) for each in counted})
        if (size if window.unit == "months" else len(counted)) > window.count:
            return days
        days, day = counted, day - DAY


def slow_state(  # noqa: C901, PLR0912
    element: Element, person: Person, results: Sequence[Result], on: date, revisions: Revisions
) -> tuple[str, date | None, set[str]]:
    """State, last valid day and stale procedures, by walking through every day up to `on`."""
    if (person.employed and on < person.employed) or (person.left and person.left < on):
        return "not_employed", None, set()
    if person.positions is not None and not (
        set(person.positions) & set(element.positions or person.positions)
    ):
        return "not_required", None, set()
    flown = set(element.aircraft if person.aircraft is None else person.aircraft)
    if element.aircraft and not flown & set(element.aircraft):
        return "not_required", None, set()
    until: date | None = None
    last: Result | None = None
    state = "never"
    day = min([result.day for result in results], default=on)
    while day <= on:
        for result in results:
            mine = result.staff == person.staff and result.element == element.id
            if result.day != day or not mine or (person.employed and day < person.employed):
                continue
            if state == "blocked":
                continue
            if result.retraining and not (
                result.retraining.closed and result.retraining.closed <= on
            ):
                state = "blocked"
            elif result.outcome == "failed":
                state = "failed"
            elif element.method in ("both", result.method):
                anew = renewed(month_end(day), element.period)
                if until is None:
                    until = anew
                elif day in window_days(until, element.window):
                    until = renewed(until, element.period)
                elif anew > until:
                    until = anew
                state, last = "passed", result
        day += DAY
    stale = set()
    for name in element.procedures:
        begun = [each for each in revisions.get(name, ()) if each.effective <= on]
        for each in begun:
            if last is None or any(each.effective < other.effective for other in begun):
                continue
            numbers = [number for asked, number in last.revisions if asked == name]
            if (numbers[0] < each.number) if numbers else (each.effective > last.day):
                stale.add(name)
    if state == "passed":
        assert until is not None
        if on > until:
            state = "overdue"
        elif stale:
            state = "stale"
        elif (on.year, on.month) == (until.year, until.month):
            state = "due"
        else:
            state = "in_window" if on in window_days(until, element.window) else "current"
    return state, until, stale


DAYS = st.one_of(
    st.dates(date(2022, 1, 1), date(2025, 12, 31)),
    st.sampled_from(
        [
            date(2024, 2, 28),
            date(2024, 2, 29),
            date(2024, 3, 1),
            date(2023, 2, 28),
            date(2023, 3, 31),
            date(2023, 12, 31),
            date(2024, 1, 1),
            date(2024, 4, 30),
        ]
    ),
)
NAMES = ["arm", "disarm", "ditch"]


def elements() -> st.SearchStrategy[Element]:
    """Elements with short periods, so that a few years hold many of them."""
    return st.builds(
        Element,
        id=st.just(""),
        title=st.just("t"),
        aircraft=st.sampled_from([(), ("a",), ("a", "b")]),
        positions=st.sampled_from([(), ("C1",), ("C1", "C2")]),
        procedures=st.sampled_from([(), ("arm",), ("disarm", "arm"), ("ditch",)]),
        period=st.integers(4, 14),
        window=st.one_of(
            st.builds(Window, st.integers(0, 3), st.just("months")),
            st.builds(Window, st.integers(1, 60), st.just("days")),
        ),
        method=st.sampled_from(["oral", "practical", "both"]),
        rule=st.just("r"),
        retention=st.just(12),
    )


def people() -> st.SearchStrategy[Person]:
    """People of every kind: crew, no crew, not recorded, new, gone."""
    return st.builds(
        Person,
        staff=st.just(""),
        name=st.just(""),
        positions=st.sampled_from([None, None, (), ("C1",), ("C2", "C3")]),
        aircraft=st.sampled_from([None, None, (), ("a",), ("b",)]),
        employed=st.one_of(st.none(), st.none(), DAYS),
        left=st.one_of(st.none(), st.none(), st.none(), DAYS),
    )


@st.composite
def operators(
    draw: st.DrawFn,
) -> tuple[list[Element], list[Person], list[Result], date, Revisions]:
    """A small operator with its history, and a date to ask about."""
    programme = [
        Element(**{**vars(each), "id": f"e{number}"})
        for number, each in enumerate(draw(st.lists(elements(), min_size=1, max_size=3)))
    ]
    staff = [
        Person(**{**vars(each), "staff": f"F{9 - number}"})
        for number, each in enumerate(draw(st.lists(people(), min_size=1, max_size=3)))
    ]
    results = draw(
        st.lists(
            st.builds(
                Result,
                staff=st.sampled_from([*(person.staff for person in staff), "gone"]),
                element=st.sampled_from([*(element.id for element in programme), "old"]),
                day=DAYS,
                method=st.sampled_from(["oral", "oral", "practical"]),
                outcome=st.sampled_from(["passed", "passed", "passed", "passed", "failed"]),
                revisions=st.dictionaries(
                    st.sampled_from([*NAMES, "other"]), st.integers(1, 4), max_size=2
                ).map(lambda asked: tuple(asked.items())),
                retraining=st.one_of(
                    st.none(),
                    st.none(),
                    st.none(),
                    st.builds(Retraining, st.one_of(st.none(), DAYS, DAYS, DAYS)),
                ),
            ),
            max_size=30,
        )
    )
    revisions: Revisions = {
        name: [
            Revision(number, draw(DAYS), "s") for number in range(1, draw(st.integers(1, 3)) + 1)
        ]
        for name in draw(st.sets(st.sampled_from(NAMES)))
    }
    distinct = {
        name: list({revision.effective: revision for revision in history}.values())
        for name, history in revisions.items()
    }
    return programme, staff, results, draw(DAYS), distinct


@THOROUGH
@given(operator=operators())
def test_currency_is_what_walking_through_the_days_gives(
    operator: tuple[list[Element], list[Person], list[Result], date, Revisions],
) -> None:
    """State, last valid day and stale procedures agree with a day-by-day calculation."""
    programme, staff, results, on, revisions = operator
    for element in programme:
        for person in staff:
            found = standing(element, person, results, on, revisions)
            expected = slow_state(element, person, results, on, revisions)
            assert (found.state, found.valid_until, set(found.stale)) == expected


@pytest.mark.parametrize("few", [0, 2, 24])
@THOROUGH
@given(operator=operators())
def test_the_fast_way_gives_the_same_answers(
    few: int, operator: tuple[list[Element], list[Person], list[Result], date, Revisions]
) -> None:
    """Columns and the plain function agree in every field of every standing, and in the order."""
    programme, staff, results, on, revisions = operator
    plain = [
        standing(element, person, results, on, revisions)
        for person in staff
        for element in programme
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fold, "_FEW", few)
        swept = sweep(columns(programme, staff, results), on, revisions)
        every = np.arange(len(plain))
        assert swept.standings(every) == plain
        assert swept.due() == due(plain)
        assert due_on(programme, staff, results, on, revisions) == due(plain)
    assert sum(swept.count()[state] for state in DUE) == len(due(plain))


def test_nothing_at_all_is_no_fault() -> None:
    """No people, no elements or no results give an empty list or everyone as never checked."""
    element = Element("e", "t", (), (), (), 12, Window(), "oral", "r", 12)
    person = Person("F1")
    on = date(2026, 1, 1)
    assert due_on([], [person], [], on) == []
    assert due_on([element], [], [], on) == []
    assert due_on([element], [person], [], on) == [Standing("F1", "e", on, "never")]
