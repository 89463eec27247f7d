"""Records to work on from the command line: a store with people, a check, and who they are."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path

import pytest

from rehearse.book.model import Procedure
from rehearse.cli import check_acts, main
from rehearse.store import NewPerson, Person, Role, Store, Text
from tests.store.script import PlainJudge
from tests.store.station import CHEAP

PINS = {
    "A1": "271801",
    "I1": "271802",
    "I2": "271803",
    "E1": "271804",
    "T1": "271805",
    "T2": "271806",
}
ROLES = {
    "A1": Role.ADMINISTRATOR,
    "I1": Role.INSTRUCTOR,
    "I2": Role.INSTRUCTOR,
    "E1": Role.EXAMINER,
    "T1": Role.TRAINEE,
    "T2": Role.TRAINEE,
}
ZONE = "Europe/Helsinki"
SAID = (
    "Open the flap and pull the spring pin",
    "Turn the mode drum a quarter turn towards the hinge to armed",
    "Let the spring pin snap home and close the flap",
    "Check both witness panes show the amber band and the sill lamp is lit",
    "Door two left armed and cross-checked",
)


TypeIn = Callable[..., tuple[int, list[str], list[str]]]


@dataclass
class Desk:
    """A store on the disk and somebody who types commands about it."""

    folder: Path
    records: Path
    type_in: TypeIn
    environment: pytest.MonkeyPatch
    ids: dict[str, str] = field(default_factory=dict)

    def run(self, who: str | None, *words: str | Path) -> tuple[int, list[str], list[str]]:
        """Type a command as this person; status, and the lines of either stream."""
        self.environment.setenv("REHEARSE_RECORDS", str(self.records))
        self.environment.setenv("REHEARSE_PIN", PINS.get(who or "", ""))
        acting = ["--as", who] if who else []
        ends = words.index("--") if "--" in words else len(words)  # only names come after it
        return self.type_in(*words[:ends], *acting, *words[ends:])

    def good(self, who: str | None, *words: str | Path) -> list[str]:
        """Type a command that must work; what it printed."""
        status, out, err = self.run(who, *words)
        assert status in {0, 1}, err
        assert err == []
        return out

    def refused(self, who: str | None, *words: str | Path) -> str:
        """Type a command that must be refused; its one line."""
        status, out, err = self.run(who, *words)
        assert status == 2, out
        assert len(err) == 1, err
        assert "Traceback" not in err[0]
        return err[0]

    def words(self, *texts: str, name: str = "words.jsonl") -> Path:
        """A words file."""
        path = self.folder / name
        path.write_text("".join(json.dumps({"text": text}) + "\n" for text in texts), "utf-8")
        return path

    def check(self, examiner: str = "I1", candidate: str = "T1", *said: str, seed: int = 1) -> str:
        """Hold a check of arm-door-2l; the record's id."""
        out = self.good(
            examiner, "check", "--candidate", candidate, "--element", "door-drills",
            "--procedure", "arm-door-2l", "--seed", str(seed), "--json", "--takes",
            self.folder / "takes", "--words", self.words(*(said or SAID)),
        )  # fmt: skip
        return str(json.loads(out[-1])["record"])

    def elsewhere(self, name: str) -> Desk:
        """The same on a copy of the store, so that nothing done to it is seen here."""
        folder = self.folder / name
        folder.mkdir()
        copied = folder / "records.db"
        shutil.copy(self.records, copied)
        return Desk(folder, copied, self.type_in, self.environment, self.ids)


def typed_aside(*words: str | Path) -> tuple[int, list[str], list[str]]:
    """Types a command where no test is running yet."""
    with redirect_stdout(StringIO()) as out, redirect_stderr(StringIO()) as err:
        status = main([str(word) for word in words])
    return status, out.getvalue().splitlines(), err.getvalue().splitlines()


@pytest.fixture
def type_in(capsys: pytest.CaptureFixture[str]) -> TypeIn:
    """Types a command, in this process."""

    def typed(*words: str | Path) -> tuple[int, list[str], list[str]]:
        capsys.readouterr()
        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return status, out.splitlines(), err.splitlines()

    return typed


@pytest.fixture
def desk(tmp_path: Path, type_in: TypeIn, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """A store with one administrator, two instructors, an examiner and two trainees."""
    return make_desk(tmp_path, type_in, monkeypatch)


def judge_plainly(environment: pytest.MonkeyPatch) -> None:
    """Take a plain judge: what the models make of words is tested elsewhere."""
    environment.setattr(check_acts, "load_readers", lambda: None)
    environment.setattr(check_acts, "Assessor", plain)
    environment.delenv("REHEARSE_NEW_PIN", raising=False)


def make_desk(folder: Path, type_in: TypeIn, environment: pytest.MonkeyPatch) -> Desk:
    """The desk of the fixture of that name, with its store in this folder."""
    judge_plainly(environment)
    made = Desk(folder, folder / "records.db", type_in, environment)
    store = Store.create(
        f"sqlite:///{made.records}",
        station="east",
        zone=ZONE,
        administrator=NewPerson("A1", "Ada Mark", frozenset({Role.ADMINISTRATOR})),
        pin=PINS["A1"],
        cost=CHEAP,
    )
    with store:
        administrator = store.sign_in("A1", PINS["A1"])
        made.ids["A1"] = administrator.person
        for number, role in ROLES.items():
            if number != "A1":
                made.ids[number] = _entered(store, number, role).id
        instructor = store.sign_in("I1", PINS["I1"])
        store.privacy.consent(instructor, made.ids["T1"], Text.SOUND, given=True)
    return made


def _entered(store: Store, number: str, role: Role) -> Person:
    administrator = store.sign_in("A1", PINS["A1"])
    crew = role is Role.TRAINEE
    new = NewPerson(
        number,
        f"Name of {number}",
        frozenset({role}),
        ("C4",) if crew else (),
        ("tarn-240",) if crew else (),
    )
    person = store.people.add(administrator, new)
    store.people.set_pin(administrator, person.id, PINS[number])
    return person


def plain(procedure: Procedure, _readers: object, _language: object) -> PlainJudge:
    """A judge in place of the one that needs models."""
    return PlainJudge(procedure)
