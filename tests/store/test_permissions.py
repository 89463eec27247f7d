"""Who may do what, through the library itself: every operation, every role, own and others'."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from rehearse.judge.verdict import Verdict
from rehearse.store import (
    Actor,
    Kind,
    NewPerson,
    NotAllowedError,
    PinError,
    Role,
    SealedError,
    Text,
)
from rehearse.store.values import NewResult
from tests.store.station import PIN, Station

NUMBERS = {"trainee": "T2", "instructor": "I2", "examiner": "E1", "administrator": "A1"}
TEACHES, OFFICE = {"instructor", "examiner"}, {"administrator"}
STAFF = TEACHES | OFFICE

Try = Callable[[Station, Actor, str], object]


def _practice(station: Station, person: str) -> NewResult:
    return replace(station.new("I1", person), kind=Kind.PRACTICE, examiner="", element="")


def _check(station: Station, actor: Actor) -> NewResult:
    return replace(station.new("I1", "T1"), examiner=actor.person)


def _entry(station: Station) -> str:
    return station.store.retraining.entries(station.actor("I1"))[-1].id


# What is tried on T1's records, and the roles that may; T1 is never the one who tries.
OTHERS: dict[str, tuple[Try, set[str]]] = {
    "list people": (lambda s, a, _: s.store.people.all(a), STAFF),
    "get a person": (lambda s, a, _: s.store.people.get(a, s.people["T1"].id), STAFF),
    "find a person": (lambda s, a, _: s.store.people.find(a, "T1"), STAFF),
    "add a person": (
        lambda s, a, _: s.store.people.add(a, NewPerson("N1", "New", frozenset({Role.TRAINEE}))),
        OFFICE,
    ),
    "change a person": (
        lambda s, a, _: s.store.people.change(
            a, s.people["T1"].id, NewPerson("T1", "Else", frozenset({Role.EXAMINER}))
        ),
        OFFICE,
    ),
    "let a person go": (
        lambda s, a, _: s.store.people.leave(a, s.people["T1"].id, date(2027, 1, 1)),
        OFFICE,
    ),
    "set a PIN": (lambda s, a, _: s.store.people.set_pin(a, s.people["T1"].id, PIN), OFFICE),
    "read sign-ins": (lambda s, a, _: s.store.people.sign_ins(a), OFFICE),
    "record practice": (lambda s, a, _: s.store.results.record(a, _practice(s, "T1")), TEACHES),
    "record a check": (lambda s, a, _: s.store.results.record(a, _check(s, a)), TEACHES),
    "record the past": (
        lambda s, a, _: s.store.results.record_past(
            a, [replace(s.new("I1", "T1"), kind=Kind.PAST)]
        ),
        OFFICE,
    ),
    "read a record": (lambda s, a, r: s.store.results.get(a, r), STAFF),
    "read a person's": (lambda s, a, _: list(s.store.results.of(a, s.people["T1"].id)), STAFF),
    "read every": (lambda s, a, _: list(s.store.results.every(a)), STAFF),
    "remark": (lambda s, a, r: s.store.results.remark(a, r, "good"), TEACHES),
    "overrule": (
        lambda s, a, r: s.store.results.overrule(a, r, "step-1", Verdict.WRONG, "why"),
        TEACHES,
    ),
    "sign": (lambda s, a, r: s.store.signing.sign(a, [r], PIN), TEACHES),
    "mark": (lambda s, a, r: s.store.marks.begin(a, r), TEACHES),
    "agreement": (lambda s, a, _: s.store.marks.agreement(a), STAFF),
    "read retraining": (lambda s, a, _: s.store.retraining.entries(a), STAFF),
    "close retraining": (lambda s, a, _: s.store.retraining.close(a, s.entry, "done"), TEACHES),
    "listen": (lambda s, a, r: s.store.sounds.read(a, r, "an appeal"), TEACHES),
    "consent": (
        lambda s, a, _: s.store.privacy.consent(a, s.people["T1"].id, Text.SOUND, given=True),
        TEACHES,
    ),
    "read accesses": (lambda s, a, _: s.store.privacy.accesses(a), OFFICE),
    "export": (lambda s, a, _: s.store.privacy.export(a, s.people["T1"].id), OFFICE),
    "erase": (lambda s, a, _: s.store.privacy.erase(a, s.people["T1"].id, "asked"), OFFICE),
    "retention": (lambda s, a, _: s.store.privacy.retention(a, Text.SOUND, 90), OFFICE),
    "tidy": (lambda s, a, _: s.store.privacy.tidy(a), OFFICE),
    "currency": (lambda s, a, _: s.store.currency.columns(a, []), STAFF),
    "heads": (lambda s, a, _: s.store.upkeep.heads(a), STAFF),
    "incidents": (lambda s, a, _: s.store.upkeep.incidents(a), OFFICE),
    "back up": (lambda s, a, r: s.store.upkeep.backup(a, Path(f"/tmp/{r}.never")), OFFICE),  # noqa: S108
    "merge": (lambda s, a, _: s.store.upkeep.merge(a, s.url), OFFICE),
}


@pytest.mark.parametrize("role", list(NUMBERS))
def test_no_role_reaches_what_it_must_not(station: Station, role: str) -> None:
    """A trainee could read others' marks, an administrator sign, an instructor erase."""
    failed = station.check("I1", "T1", "sw", "other")
    station.store.signing.sign(station.actor("I1"), [failed], PIN)
    station.entry = _entry(station)
    instructor, trainee = station.actor("I1"), station.people["T1"].id
    station.store.privacy.consent(instructor, trainee, Text.SOUND, given=True)
    for name, (attempt, may) in OTHERS.items():
        if name in {"back up", "merge", "erase"} and role in may:
            continue  # these have tests of their own, and end the others here
        result = station.check("I1", "T1", "ss")
        station.store.sounds.keep(instructor, result, b"the sound")
        actor = station.actor(NUMBERS[role])
        before = station.store.head()
        if role in may:
            attempt(station, actor, result)
        else:
            with pytest.raises(NotAllowedError) as refusal:
                attempt(station, actor, result)
            assert "\n" not in str(refusal.value), name
            assert station.store.head() == before, name
    assert station.store.verify().fault is None


def test_own_records_are_open_and_out_of_reach(station: Station) -> None:
    """People could not see their own records, or could judge, sign and mark themselves."""
    store = station.store
    both = NewPerson("B1", "Both", frozenset({Role.TRAINEE, Role.INSTRUCTOR}))
    person = store.people.add(station.actor("A1"), both)
    store.people.set_pin(station.actor("A1"), person.id, PIN)
    station.people["B1"] = person
    result = station.check("I1", "B1", "sw")
    as_instructor = store.sign_in("B1", PIN, Role.INSTRUCTOR)
    for attempt in (
        lambda: store.results.overrule(as_instructor, result, "step-2", Verdict.SAID, "mine"),
        lambda: store.signing.sign(as_instructor, [result], PIN),
        lambda: store.marks.begin(as_instructor, result),
        lambda: store.results.remark(as_instructor, result, "mine"),
        lambda: store.results.record(as_instructor, station.new("B1", "B1")),
    ):
        with pytest.raises(NotAllowedError, match="your own"):
            attempt()
    store.signing.sign(station.actor("I1"), [result], PIN)
    with pytest.raises(NotAllowedError, match="your own"):
        store.retraining.close(as_instructor, _entry(station), "done")
    mine = store.sign_in("B1", PIN, Role.TRAINEE)
    assert store.results.get(mine, result).passed is False
    assert len(list(store.results.of(mine, person.id))) == 1
    assert store.retraining.entries(mine, person.id)
    assert store.privacy.export(mine, person.id).person.name == "Both"
    assert store.privacy.accesses(mine, person.id) == ()
    store.results.record(mine, _practice(station, "B1"))


def test_an_actor_cannot_be_made_up_or_outlive_the_role(station: Station) -> None:
    """A program could make itself an examiner, or somebody who left could go on signing."""
    actor = station.actor("T1")
    with pytest.raises(NotAllowedError, match="sign in"):
        station.store.people.all(replace(actor, role=Role.ADMINISTRATOR))
    with pytest.raises(NotAllowedError, match="you are no"):
        station.store.sign_in("T1", PIN, Role.EXAMINER)
    instructor = station.actor("I1")
    person = station.people["I1"].id
    administrator = station.actor("A1")
    station.store.people.leave(administrator, person, date(2026, 9, 30))
    with pytest.raises(NotAllowedError, match="no longer"):
        station.store.people.all(instructor)
    with pytest.raises(PinError):
        station.actor("I1")


def test_guessing_a_pin_is_slow_and_on_record(station: Station) -> None:
    """A PIN of six digits could be tried through, and nobody would ever see it."""
    administrator = station.actor("A1")
    known = len(station.store.people.sign_ins(administrator))
    tried, waits = 0, []
    for guess in range(40):
        try:
            station.store.sign_in("I1", f"{guess:06}")
        except PinError as refusal:
            tried += refusal.wait == 0
            waits.append(refusal.wait)
            station.clock.now += timedelta(seconds=30)
    assert tried <= 10  # in twenty minutes
    assert max(waits) > 60
    with pytest.raises(PinError, match="wait"):
        station.actor("I1")  # the right one must wait as well
    attempts = station.store.people.sign_ins(administrator)[known:]
    assert len(attempts) == tried
    assert not any(attempt.opened for attempt in attempts)
    station.clock.now += timedelta(hours=1)
    station.actor("I1")
    with pytest.raises(PinError) as unknown:
        station.store.sign_in("nobody", PIN)
    assert str(unknown.value) == "staff number or PIN is wrong"
    assert station.store.people.sign_ins(administrator)[-1].person == ""


def test_a_second_marker_is_blind(station: Station) -> None:
    """A second marker could look at the first marks, and agreement would mean nothing."""
    store = station.store
    result, other = station.check("I1", "T1", "sw"), station.check("I1", "T1", "ss")
    marker, late = station.actor("I2"), station.actor("E1")
    blind = store.marks.begin(marker, result)
    assert blind.steps == ("step-1", "step-2")
    for attempt in (
        lambda: store.results.get(marker, result),
        lambda: store.marks.of(marker, result),
    ):
        with pytest.raises(NotAllowedError, match="hand in"):
            attempt()
    for found in (
        store.results.of(marker, station.people["T1"].id),
        store.results.every(marker),
    ):
        assert [record.result.id for record in found] == [other]
    marks = {"step-1": Verdict.SAID, "step-2": Verdict.SAID}
    store.marks.hand_in(marker, result, marks)
    assert store.results.get(marker, result).result.steps[1].verdict is Verdict.WRONG
    with pytest.raises(NotAllowedError):
        store.marks.hand_in(marker, result, marks)
    store.results.get(late, result)
    with pytest.raises(NotAllowedError, match="were seen by you"):
        store.marks.begin(late, result)
    with pytest.raises(NotAllowedError, match="first marks"):
        store.marks.begin(station.actor("I1"), result)
    assert store.marks.agreement(station.actor("I1")).agreed == 0.5


def test_a_seal_holds(station: Station) -> None:
    """A signed record could be changed, signed again, or signed while a step is unclear."""
    store, actor = station.store, station.actor("I1")
    unclear = station.check("I1", "T1", "su")
    with pytest.raises(Exception, match="unclear"):
        store.signing.sign(actor, [unclear], PIN)
    store.results.overrule(actor, unclear, "step-2", Verdict.SAID, "I heard it")
    with pytest.raises(PinError):
        store.signing.sign(actor, [unclear], "000001")
    signature = store.signing.sign(actor, [unclear], PIN)
    for attempt in (
        lambda: store.results.overrule(actor, unclear, "step-1", Verdict.WRONG, "no"),
        lambda: store.signing.sign(actor, [unclear], PIN),
    ):
        with pytest.raises(SealedError):
            attempt()
    correction = store.signing.correct(actor, unclear, "step-1", Verdict.WRONG, "no", pin=PIN)
    record = store.results.get(actor, unclear)
    assert record.signature == signature
    assert [each.after_seal for each in record.overrules] == [False, True]
    assert record.overrules[1] == correction
    assert not record.passed
    assert [each.verdict for each in record.result.steps] == [Verdict.SAID, Verdict.UNCLEAR]
    assert store.verify().fault is None


def test_examiner_who_taught_is_warned_of(station: Station) -> None:
    """Somebody would sign a check of what they taught themselves without being told."""
    actor = station.actor("I1")
    new = replace(station.new("I1", "T1"), teacher=actor.person)
    result = station.store.results.record(actor, new).id
    said = f"{result}: examiner and teacher are the same person"
    assert station.store.signing.warnings(actor, [result]) == (said,)
    assert station.store.signing.sign(actor, [result], PIN).warnings == (said,)
