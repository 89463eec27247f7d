"""A store with people in it, for every test of the records."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from rehearse.judge.verdict import Verdict
from rehearse.store import (
    Actor,
    Cost,
    Kind,
    Method,
    NewPerson,
    NewResult,
    Person,
    Role,
    StepMark,
    Store,
)

CHEAP = Cost(1, 8, 1)
PIN = "271828"
ZONE = "Europe/Lisbon"
KEY = bytes(range(32))


@dataclass
class Clock:
    """A clock that moves on by a second whenever it is read, and goes where it is told."""

    now: datetime = datetime(2026, 10, 1, 8, tzinfo=UTC)

    def __call__(self) -> datetime:
        """What the clock says."""
        self.now += timedelta(seconds=1)
        return self.now


@dataclass
class Station:
    """A store with people in it. entry: a retraining entry that a test works on."""

    url: str
    store: Store
    clock: Clock
    administrator: Actor
    people: dict[str, Person] = field(default_factory=dict)
    entry: str = ""

    def add(self, number: str, role: Role, name: str = "") -> Person:
        """Add a person with a PIN."""
        administrator = self.actor("A1")
        new = NewPerson(number, name or f"Name of {number}", frozenset({role}))
        person = self.store.people.add(administrator, new)
        self.store.people.set_pin(administrator, person.id, PIN)
        self.people[number] = person
        return person

    def actor(self, number: str) -> Actor:
        """Sign this person in."""
        return self.store.sign_in(number, PIN)

    def check(
        self, examiner: str, candidate: str, verdicts: str = "ss", element: str = "doors"
    ) -> str:
        """Record a check with these verdicts (s: said, w: wrong, u: unclear); its id."""
        actor = self.actor(examiner)
        result = self.new(examiner, candidate, verdicts, element)
        return self.store.results.record(actor, result).id

    def new(
        self, examiner: str, candidate: str, verdicts: str = "ss", element: str = "doors"
    ) -> NewResult:
        """A check to be recorded."""
        words = {"s": Verdict.SAID, "w": Verdict.WRONG, "u": Verdict.UNCLEAR}
        steps = tuple(
            StepMark(f"step-{at}", words[letter], critical=True, heard="the drum", start=float(at))
            for at, letter in enumerate(verdicts, start=1)
        )
        return NewResult(
            person=self.people[candidate].id,
            kind=Kind.CHECK,
            element=element,
            procedure="arm-door-2l",
            revision=3,
            method=Method.ORAL,
            taken_at=self.clock(),
            steps=steps,
            examiner=self.people[examiner].id,
        )


def make_station(url: str, name: str = "east", key: bytes | None = None) -> Station:
    """A new store at the URL with an administrator, two instructors, an examiner, two trainees."""
    clock = Clock()
    store = Store.create(
        url,
        station=name,
        zone=ZONE,
        administrator=NewPerson("A1", "Ada Mark", frozenset({Role.ADMINISTRATOR})),
        pin=PIN,
        key=key,
        clock=clock,
        cost=CHEAP,
    )
    station = Station(url, store, clock, store.sign_in("A1", PIN))
    station.people["A1"] = store.people.find(station.administrator, "A1")
    for number, role in (
        ("I1", Role.INSTRUCTOR),
        ("I2", Role.INSTRUCTOR),
        ("E1", Role.EXAMINER),
        ("T1", Role.TRAINEE),
        ("T2", Role.TRAINEE),
    ):
        station.add(number, role)
    return station
