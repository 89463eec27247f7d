"""Stores to test on: both databases, a clock that obeys, PINs that cost nothing."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

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
        self.now += timedelta(seconds=1)
        return self.now


@dataclass
class Station:
    """A store with people in it, signed in."""

    url: str
    store: Store
    clock: Clock
    administrator: Actor
    people: dict[str, Person] = field(default_factory=dict)

    def add(self, number: str, role: Role, name: str = "") -> Person:
        """Add a person with a PIN."""
        person = self.store.people.add(
            self.administrator, NewPerson(number, name or f"Name of {number}", frozenset({role}))
        )
        self.store.people.set_pin(self.administrator, person.id, PIN)
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


def _programs() -> Path | None:
    """The newest PostgreSQL server's programs, where Debian or the path has them."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Callable[[], str]]:
    """Gives the URL of a fresh, empty database on a throwaway server of our own."""
    programs = _programs()
    if programs is None:
        pytest.skip("no PostgreSQL server programs (initdb) on this machine")
    user = _unprivileged()
    folder = Path(tempfile.mkdtemp(prefix="rehearse-pg-"))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    environment = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "HOME": str(folder)}

    def run(*command: str) -> None:
        subprocess.run(
            command,
            check=True,
            capture_output=True,
            cwd=folder,
            env=environment,
            user=None if user is None else user.pw_uid,
            group=None if user is None else user.pw_gid,
        )

    cluster, log = folder / "cluster", folder / "log"
    options = f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off"
    run(str(programs / "initdb"), "-D", str(cluster), "-U", "rehearse", "-A", "trust", "--no-sync")
    control = (str(programs / "pg_ctl"), "-D", str(cluster))
    run(*control, "-w", "-o", options, "-l", str(log), "start")
    numbers = count(1)

    def fresh() -> str:
        name = f"records{next(numbers)}"
        run(str(programs / "createdb"), "-h", str(folder), "-U", "rehearse", name)
        return f"postgresql+psycopg://rehearse@/{name}?host={folder}"

    try:
        yield fresh
    finally:
        run(*control, "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)


def _unprivileged() -> pwd.struct_passwd | None:
    """The server refuses to run as root: then it runs as the user that its package made."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam("postgres")
    except KeyError:
        pytest.skip("root cannot run a PostgreSQL server, and there is no user postgres")


@pytest.fixture(params=["sqlite", "postgresql"])
def fresh_url(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Gives the URL of a new database each time: the same tests run on both kinds."""
    if request.param == "postgresql":
        made: Callable[[], str] = request.getfixturevalue("postgresql")
        return made
    numbers = count(1)
    return lambda: f"sqlite:///{tmp_path}/records{next(numbers)}.db"


@pytest.fixture
def station(fresh_url: Callable[[], str]) -> Iterator[Station]:
    """A store with people in it."""
    made = make_station(fresh_url())
    yield made
    made.store.close()


@pytest.fixture
def file_station(tmp_path: Path) -> Iterator[Station]:
    """A store in a SQLite file, for what only files can suffer."""
    made = make_station(f"sqlite:///{tmp_path}/records.db")
    yield made
    made.store.close()
