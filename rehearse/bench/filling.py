"""A record store filled with many signed checks, faster than people could: for measuring only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import islice
from random import Random
from zoneinfo import ZoneInfo

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from rehearse.judge.verdict import Verdict
from rehearse.programme.model import Element, Window
from rehearse.store import (
    Actor,
    Cost,
    Method,
    NewPerson,
    Role,
    StepMark,
    Store,
    outcome,
    pins,
    retraining,
    roster,
    tables,
)
from rehearse.store.canonical import to_text, when
from rehearse.store.chain import Row, Writing
from rehearse.store.database import Database
from rehearse.store.people import put_credential
from rehearse.store.results import seal_of
from rehearse.store.signing import add_signature
from rehearse.store.values import Text
from rehearse.store.vault import Vault

ELEMENTS = tuple(
    Element(
        id=f"element-{at}",
        title=f"Element {at}",
        aircraft=(),
        positions=(),
        procedures=(f"procedure-{at}",),
        period=12,
        window=Window(3, "months"),
        method="both",
        rule="for measuring",
        retention=36,
    )
    for at in range(25)
)
TIMES = 20  # how often each person was checked on each element
SIGNED_AT_ONCE = 20  # a class's checks under one signature
FAILED = 0.05
_PIN = "for measuring only"
_CHEAP = Cost(1, 8, 1)
_ZONE = ZoneInfo("Europe/Lisbon")
_BATCH = 2000
_STEPS = 6


def filled(url: str, size: int) -> tuple[Store, Actor]:
    """A new store with about this many signed checks, and its administrator."""
    administrator = NewPerson("A0", "Administrator", frozenset({Role.ADMINISTRATOR}))
    store = Store.create(
        url, station="bench", zone=_ZONE.key, administrator=administrator, pin=_PIN, cost=_CHEAP
    )
    actor = store.sign_in("A0", _PIN)
    filler = _Filler(Database.at(url), store.station)
    filler.people(max(size // (len(ELEMENTS) * TIMES), 1))
    filler.checks(size)
    filler.database.close()
    return store, actor


@dataclass
class _Filler:
    database: Database
    station: str
    examiner: str = ""
    credential: str = ""
    private: Ed25519PrivateKey | None = None
    trainees: tuple[str, ...] = ()

    def people(self, number: int) -> None:
        """The trainees, and an examiner whose key signs everything."""
        with self.database.write() as connection:
            writing = Writing(connection, self.station, datetime.now(UTC), "", Vault())
            self.examiner = self._person(writing, "E0", Role.EXAMINER)
            made, public = pins.new_credential(_PIN, _CHEAP)
            put_credential(writing, self.examiner, made, public)
            self.credential = str(writing.head).rpartition(":")[0].replace(":", "-")
            self.private = pins.private_key(made, _PIN)
            self.trainees = tuple(
                self._person(writing, f"T{at}", Role.TRAINEE) for at in range(number)
            )
            writing.finish()

    def _person(self, writing: Writing, number: str, role: Role) -> str:
        person = NewPerson(number, f"Person {number}", frozenset({role}))
        row = f"{self.station}-{writing.head.number + 1}"
        content = (Text.IDENTITY, roster.identity(person))
        writing.add(tables.person, content, person=row, **roster.columns(person))
        return row

    def checks(self, size: int) -> None:
        """The checks in the order of their dates, a class at a time."""
        made = self._results(size)
        while batch := list(islice(made, _BATCH)):
            with self.database.write() as connection:
                now = datetime.fromisoformat(str(batch[-1]["taken_at"])) + timedelta(hours=1)
                writing = Writing(connection, self.station, now, self.examiner, Vault())
                for at in range(0, len(batch), SIGNED_AT_ONCE):
                    self._sign(writing, batch[at : at + SIGNED_AT_ONCE])
                writing.finish()

    def _sign(self, writing: Writing, some: list[dict[str, object]]) -> None:
        if self.private is None:
            raise AssertionError("people come first")
        rows = writing.add_many(tables.result, some)
        statement = {
            "results": [[row["id"], row["hash"].hex()] for row in rows],
            "overrules": [],
            "verdicts": {},
            "warnings": [],
        }
        signature = add_signature(writing, statement, self.credential, self.private)
        seals = [seal_of(r, _ZONE, signature["id"], passed=bool(r["passed"])) for r in rows]
        writing.add_many(tables.seal, seals)
        for row in rows:
            if not row["passed"]:
                self._retrain(writing, row)

    def _retrain(self, writing: Writing, row: Row) -> None:
        retraining.open_entry(writing, row)
        entry = f"{self.station}-{writing.head.number}"
        writing.add(tables.retraining_closed, retraining=entry, how="again, by the book", void=0)

    def _results(self, size: int) -> Iterator[dict[str, object]]:
        random = Random(1)  # noqa: S311 - nothing secret
        rule = to_text({"critical": "all", "share": 1.0, "within": None})
        texts = {passed: outcome.steps_text(_steps(passed=passed)) for passed in (True, False)}
        start = datetime(2007, 1, 1, 6, tzinfo=UTC)
        apart = timedelta(days=365 * TIMES) / size
        for at in range(size):
            passed = random.random() >= FAILED
            taken = start + at * apart
            element = ELEMENTS[at // len(self.trainees) % len(ELEMENTS)]
            yield {
                "person": self.trainees[at % len(self.trainees)],
                "kind": "check",
                "element": element.id,
                "procedure": element.procedures[0],
                "revision": 3,
                "method": Method.ORAL.value,
                "taken_at": when(taken),
                "taken_on": taken.astimezone(_ZONE).date().isoformat(),
                "examiner": self.examiner,
                "teacher": None,
                "take": None,
                "judge": "for measuring",
                "steps": texts[passed],
                "extras": "[]",
                "rule": rule,
                "passed": int(passed),
            }


def _steps(*, passed: bool) -> tuple[StepMark, ...]:
    wrong = StepMark(
        "drum", Verdict.WRONG, critical=True, probability=0.02, heard="drum to disarmed",
        start=4.1, end=6.0, why="You said disarmed where the step says armed.",
    )  # fmt: skip
    said = [
        StepMark(f"step-{at}", Verdict.SAID, probability=0.97, heard="turn the drum to armed")
        for at in range(_STEPS)
    ]
    return tuple(said) if passed else (wrong, *said[1:])
