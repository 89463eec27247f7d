"""What counts: agreement between markers, and the due list, against calculations of their own."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest

from rehearse.judge.verdict import Verdict
from rehearse.programme.currency import standing
from rehearse.programme.history import Result, Retraining
from rehearse.programme.model import Element, Window
from rehearse.store import Kind, Method, Person, Role, whole
from rehearse.store.currency import crew
from rehearse.store.kappa import agreement
from tests.store.station import PIN, Station

ELEMENTS = tuple(
    Element(name, name, (), (), (f"p-{name}",), 12, Window(3), "both", "rule", 36)
    for name in ("doors", "fire", "water")
)


def test_kappa_of_a_table_worked_by_hand() -> None:
    """Agreement would be reported higher or lower than the marks bear out."""
    said, wrong = Verdict.SAID, Verdict.WRONG
    cells = [(said, said)] * 20 + [(said, wrong)] * 5 + [(wrong, said)] * 10 + [(wrong, wrong)] * 15
    pairs = [({"a": first}, {"a": second}) for first, second in cells]
    found = agreement(pairs)
    assert (found.takes, found.steps, found.agreed) == (50, 50, 0.7)
    # Observed 0.7; by chance 25/50 * 30/50 + 25/50 * 20/50 = 0.5.
    assert found.kappa == pytest.approx(0.4)
    assert found.low is not None
    assert found.high is not None
    # Large-sample standard error sqrt(0.7 * 0.3) / (0.5 * sqrt(50)) = 0.13.
    assert found.low == pytest.approx(0.4 - 1.96 * 0.13, abs=0.05)
    assert found.high == pytest.approx(0.4 + 1.96 * 0.13, abs=0.05)


def test_kappa_where_it_says_nothing() -> None:
    """Marks that are all alike, or none at all, would give a number that means nothing."""
    said = {"a": Verdict.SAID, "b": Verdict.SAID}
    same = agreement([(said, said)] * 5)
    assert (same.kappa, same.low, same.agreed) == (None, None, 1.0)
    assert agreement([]).steps == 0
    one = agreement([(said, {"a": Verdict.SAID, "b": Verdict.WRONG, "c": Verdict.SAID})])
    assert (one.steps, one.low) == (2, None)


def test_steps_of_one_take_are_not_taken_for_independent() -> None:
    """Takes with many steps would make the interval look far narrower than it is."""
    said, wrong = Verdict.SAID, Verdict.WRONG
    takes = [
        [(said, said), (wrong, wrong)][at % 2] if at % 3 else (said, wrong) for at in range(12)
    ]
    short = agreement([({"0": first}, {"0": second}) for first, second in takes])
    steps = [str(at) for at in range(20)]
    long = agreement(
        [(dict.fromkeys(steps, first), dict.fromkeys(steps, second)) for first, second in takes]
    )
    assert short.low is not None
    assert long.low == pytest.approx(short.low)
    assert long.kappa == pytest.approx(short.kappa)


def test_due_list_agrees_with_results_read_one_by_one(station: Station) -> None:
    """The due list would miss somebody, for all that their record shows it."""
    random, store = Random(5), station.store
    numbers = [f"P{at}" for at in range(6)]
    for number in numbers:
        station.add(number, Role.TRAINEE)
    actor = station.actor("I1")
    station.clock.now = datetime(2022, 1, 31, 22, 30, tzinfo=UTC)
    for _ in range(120):
        station.clock.now += timedelta(days=random.randrange(1, 25), hours=random.randrange(24))
        _something(station, random, numbers)
    people = {p.id: p for p in store.people.all(actor)}
    states: set[str] = set()
    for on in (date(2024, 2, 29), date(2025, 6, 30), station.clock().date()):
        found = {
            (each.staff, each.element): each for each in store.currency.due(actor, ELEMENTS, on)
        }
        expected = {}
        for person in people.values():
            for element in ELEMENTS:
                told = standing(element, crew(person), _history(station, person, element), on)
                if told.state not in {"current", "not_required", "not_employed"}:
                    expected[person.staff_number, element.id] = told
        assert found == expected
        states |= {each.state for each in found.values()}
    assert states >= {"blocked", "failed", "overdue", "never"}


def _something(station: Station, random: Random, numbers: list[str]) -> None:
    """A check, signed or not, overruled, corrected, retrained or not; or a past result."""
    store, actor = station.store, station.actor("I1")
    new = station.new(
        "I1", random.choice(numbers), random.choice(["ss", "ss", "sw"]), random.choice(ELEMENTS).id
    )
    new = replace(new, procedure=f"p-{new.element}", method=random.choice(list(Method)))
    if random.random() < 0.2:
        past = replace(new, kind=Kind.PAST, examiner="", steps=whole(passed=random.random() < 0.7))
        store.results.record_past(station.actor("A1"), [past])
        return
    result = store.results.record(actor, new)
    if random.random() < 0.2:
        verdict = Verdict.WRONG if result.passed else Verdict.SAID
        store.results.overrule(actor, result.id, "step-2", verdict, "heard again")
    if random.random() < 0.15:
        return
    store.signing.sign(actor, [result.id], PIN)
    if random.random() < 0.2:
        now = store.results.get(actor, result.id).verdicts["step-2"]
        verdict = Verdict.WRONG if now is Verdict.SAID else Verdict.SAID
        store.signing.correct(actor, result.id, "step-2", verdict, "and again", pin=PIN)
    station.clock.now += timedelta(days=random.randrange(20))
    for entry in store.retraining.entries(actor, still_open=True):
        if random.random() < 0.2:
            store.retraining.close(actor, entry.id, "done")


def _history(station: Station, person: Person, element: Element) -> list[Result]:
    """A person's results for one element as their record shows them, oldest take first."""
    store, actor = station.store, station.actor("A1")
    entries = {e.result: e for e in store.retraining.entries(actor, person.id) if not e.void}
    history = []
    for record in store.results.of(actor, person.id):
        result = record.result
        counts = record.signature is not None or result.kind is Kind.PAST
        if counts and result.element == element.id:
            entry = entries.get(result.id)
            closed = entry and entry.closed_at and entry.closed_at.astimezone(store.zone).date()
            history.append(
                Result(
                    staff=person.staff_number,
                    element=element.id,
                    day=result.taken_on,
                    method=result.method.value,
                    outcome="passed" if record.passed else "failed",
                    revisions=((result.procedure, result.revision),),
                    retraining=Retraining(closed or None) if entry else None,
                )
            )
    return history
