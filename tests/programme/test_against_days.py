"""Currency against a slow calculation that knows nothing but how one day follows another."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from random import Random

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
Operator = tuple[list[Element], list[Person], list[Result], date, Revisions]
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
    failing: list[str] = []
    mine = [
        result
        for result in results
        if result.staff == person.staff
        and result.element == element.id
        and not (person.employed and result.day < person.employed)
    ]
    day = min([result.day for result in mine], default=on)
    while day <= on:
        for result in (result for result in mine if result.day == day):
            if state == "blocked":
                continue
            if result.retraining and not (
                result.retraining.closed and result.retraining.closed <= on
            ):
                state = "blocked"
            elif result.outcome == "failed":
                failing += _asked(element, result) or ["everything"]
            elif element.method in ("both", result.method):
                anew = renewed(month_end(day), element.period)
                if until is None:
                    until = anew
                elif day in window_days(until, element.window):
                    until = renewed(until, element.period)
                elif anew > until:
                    until = anew
                state, last = "passed", result
                asked = _asked(element, result)
                made_good = [*asked, "everything"] if asked else list(failing)
                failing = [each for each in failing if each not in made_good]
        day += DAY
    if failing and state != "blocked":
        state = "failed"
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


def _asked(element: Element, result: Result) -> list[str]:
    """The element's procedures that the check was on, by name; none when it was on all of it."""
    return [name for name in element.procedures if name in [asked for asked, _ in result.revisions]]


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
) -> Operator:
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


def dense(seed: int) -> Operator:
    """Many checks of few people by chance: several in one window, in one month, on one day."""
    chance = Random(seed)
    start = date(2022, 1, 1)
    programme = [
        Element(
            f"e{number}",
            "t",
            (),
            (),
            ("arm", "disarm"),
            chance.randint(4, 14),
            Window(chance.randint(0, 3), "months")
            if chance.random() < 0.6
            else Window(chance.randint(1, 60), "days"),
            chance.choice(["both", "oral"]),
            "r",
            12,
        )
        for number in range(2)
    ]
    results = []
    for _ in range(chance.randint(1, 80)):
        day = start + DAY * chance.randint(0, 1400)
        fails = chance.random() < 0.1
        retraining = Retraining(day + DAY * chance.choice([0, 1, 9, 40])) if fails else None
        for _ in range(chance.choice([1, 1, 1, 2])):
            results.append(
                Result(
                    chance.choice(["F1", "F2"]),
                    chance.choice(["e0", "e1"]),
                    day,
                    chance.choice(["oral", "oral", "practical"]),
                    "failed" if fails else "passed",
                    chance.choice(
                        [(), (("arm", chance.randint(1, 3)),), (("disarm", chance.randint(1, 3)),)]
                    ),
                    retraining,
                )
            )
            fails = False
    chance.shuffle(results)
    revisions = {
        name: [Revision(number, start + DAY * 400 * number, "s") for number in (1, 2, 3)]
        for name in chance.choice([(), ("arm",), ("arm", "disarm")])
    }
    # Often a day on which something happens, so that the edges are met.
    on = start + DAY * chance.randint(0, 1500)
    closing = [each.retraining.closed for each in results if each.retraining]
    days = [on, on, *(each.day for each in results[:2]), *closing[:1]]
    chosen = chance.choice(days) or on
    return programme, [Person("F1"), Person("F2")], results, chosen, revisions


OPERATORS = st.one_of(operators(), st.integers(0, 10**9).map(dense))


@THOROUGH
@given(operator=OPERATORS)
def test_currency_is_what_walking_through_the_days_gives(
    operator: Operator,
) -> None:
    """State, last valid day and stale procedures agree with a day-by-day calculation."""
    programme, staff, results, on, revisions = operator
    for element in programme:
        for person in staff:
            found = standing(element, person, results, on, revisions)
            expected = slow_state(element, person, results, on, revisions)
            assert (found.state, found.valid_until, set(found.stale)) == expected


@pytest.mark.parametrize("few", [0, 3])
@THOROUGH
@given(operator=OPERATORS)
def test_the_fast_way_gives_the_same_answers(few: int, operator: Operator) -> None:
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
