"""Who may do what through the command line, written out by hand, and lines that cannot be used."""

from __future__ import annotations

import shutil
import sqlite3
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from rehearse.book import shelf
from tests.cli.conftest import SAID, Desk, TypeIn, judge_plainly, make_desk, typed_aside

ADM, EXA, INS = "administrator", "examiner", "instructor"
OTHER, OWN = "other", "own"  # a trainee acting on another's record, and on their own
WHO = {ADM: "A1", EXA: "E1", INS: "I2", OTHER: "T2", OWN: "T1"}
EVERYBODY = {ADM, EXA, INS, OTHER, OWN}
NEITHER_CHANGES = ("sign_in", "access")  # what a refused command may leave: that it was tried
# What is typed, and who alone may. R is a signed record of T1, U an unsigned one, N an entry.
TABLE: tuple[tuple[str, set[str]], ...] = (
    ("people list", {ADM, EXA, INS}),
    ("people add X9 Nobody --is trainee", {ADM}),
    ("people change T1 --name Changed", {ADM}),
    ("people roles T1 administrator", {ADM}),
    ("people leave T1 --on 2030-01-01", {ADM}),
    ("people pin E1", {ADM, EXA}),
    ("check --candidate T1 --element door-drills --procedure arm-door-2l --words W", {EXA, INS}),
    ("records list", {ADM, EXA, INS}),
    ("records list --person T1", {ADM, EXA, INS, OWN}),
    ("records show R", {ADM, EXA, INS, OWN}),
    ("records listen U --purpose why --to F", {EXA, INS, OWN}),
    ("records overrule U pin wrong --reason r", {EXA, INS}),
    ("records overrule R pin wrong --reason r --correct", {EXA, INS}),
    ("records remark U text", {EXA, INS}),
    ("records mark U", {EXA, INS}),
    ("records mark U --ask E1", {ADM, EXA, INS}),
    ("records agreement", {ADM, EXA, INS}),
    ("records sign U --anyway", {EXA, INS}),
    ("records retrain list --person T1", {ADM, EXA, INS, OWN}),
    ("records retrain close N how", {EXA, INS}),
    ("records due", {ADM, EXA, INS}),
    ("records due --person T1", {ADM, EXA, INS, OWN}),
    ("records import P", {ADM}),
    ("records report person T1 --format json --to D", {ADM, EXA, INS, OWN}),
    ("records report class --format json --to D", {ADM, EXA, INS}),
    ("records report check R --format json --to D", {ADM, EXA, INS, OWN}),
    ("records report own T1 --format json --to D", {ADM, EXA, INS, OWN}),
    ("records head", {ADM, EXA, INS}),
    ("records backup F", {ADM}),
    ("records merge B", {ADM}),
    ("records incidents", {ADM}),
    ("records sign-ins", {ADM}),
    ("records consent T1 no", {EXA, INS, OWN}),
    ("records accesses", {ADM}),
    ("records accesses --person T1", {ADM, OWN}),
    ("records export-person T1 --to X", {ADM, OWN}),
    ("records erase-person T1 --reason r --takes D", {ADM}),
    ("records retention", EVERYBODY),
    ("records retention sound 10", {ADM}),
    ("records tidy", {ADM}),
)


SHIPPED = cache(shelf.stock)  # two hundred commands need not read the shelf each


@dataclass(frozen=True)
class Stage:
    """A store with a signed and an unsigned record of T1, and the words that stand for them."""

    desk: Desk
    words: dict[str, str]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Stage:
    """I1 examined T1 twice; the first was failed and signed, the second passed and has sound."""
    folder = tmp_path_factory.mktemp("made")
    with pytest.MonkeyPatch.context() as environment:
        desk = make_desk(folder, typed_aside, environment)
        failed = desk.check("I1", "T1", *SAID[:2])
        desk.run("I1", "records", "sign", failed)
        (entry,) = desk.good("I1", "records", "retrain", "list", "--open")
        unsigned = desk.check("I1", "T1", seed=2)
        _keep_sound(desk, unsigned)
        backup = folder / "same.db"
        desk.good("A1", "records", "backup", backup)
    past = folder / "past.csv"
    past.write_text(
        "staff_number,element,date,method,outcome,examiner,remark\n"
        "T2,equipment,2026-01-14,oral,passed,I1,\n"
    )
    words = {
        "R": failed, "U": unsigned, "N": entry.split()[0], "B": str(backup), "P": str(past),
        "W": str(desk.words(*SAID)),
    }  # fmt: skip
    return Stage(desk, words)


@pytest.fixture
def stage(made: Stage, tmp_path: Path, type_in: TypeIn, monkeypatch: pytest.MonkeyPatch) -> Stage:
    """What `made` is, on a copy of its store."""
    judge_plainly(monkeypatch)
    monkeypatch.setattr(shelf, "stock", SHIPPED)
    monkeypatch.setenv("REHEARSE_NEW_PIN", "998811")
    records = tmp_path / "records.db"
    shutil.copy(made.desk.records, records)
    return Stage(Desk(tmp_path, records, type_in, monkeypatch, made.desk.ids), made.words)


def _keep_sound(desk: Desk, result: str) -> None:
    from rehearse.store import Store
    from tests.cli.conftest import PINS

    with Store.open(f"sqlite:///{desk.records}") as store:
        store.sounds.keep(store.sign_in("I1", PINS["I1"]), result, b"not really FLAC")


def test_every_role_reaches_what_it_may_and_nothing_else(stage: Stage) -> None:
    """Each command as each role: done, or refused in one line and nothing changed."""
    wrong: list[str] = []
    for at, (typed, may) in enumerate(TABLE):
        for who in WHO:
            found = _tried(stage, f"{at}-{who}", typed, who)
            expected = "done" if who in may else "refused"
            if found != expected:
                wrong.append(f"{typed} as {who}: {found}, expected {expected}")
    assert wrong == []


def _tried(stage: Stage, name: str, typed: str, who: str) -> str:
    desk = stage.desk.elsewhere(name)
    own = {"F": str(desk.folder / "new"), "D": str(desk.folder), "X": str(desk.folder / "out")}
    given = stage.words | own
    words = [given.get(word, word) for word in typed.split()]
    if words[0] == "check":
        words += ["--takes", str(desk.folder / "takes")]
    before = _rows(desk.records)
    status, _, err = desk.run(WHO[who], *words)
    if status in {0, 1}:
        return "done"
    may_not = len(err) == 1 and "may not" in err[0]
    untouched = _rows(desk.records) == before and not list(desk.folder.glob("[!r]*"))
    return "refused" if may_not and untouched else f"status {status}, {err}, kept {untouched}"


def _rows(records: Path) -> dict[str, int]:
    """How many rows each table has, but for the tries to sign in and what was read."""
    with sqlite3.connect(records) as database:
        names = [
            name
            for (name,) in database.execute("select name from sqlite_master where type='table'")
            if name not in {*NEITHER_CHANGES, "head"}
        ]
        return {
            name: database.execute(f"select count(*) from {name}").fetchone()[0]  # noqa: S608
            for name in names
        }


def test_nobody_judges_themselves(desk: Desk) -> None:
    """An instructor who is checked cannot overrule, sign, remark on or mark their own record."""
    record = desk.check("I1", "I2")
    for typed in (
        f"records overrule {record} pin wrong --reason r",
        f"records sign {record} --anyway",
        f"records remark {record} text",
        f"records mark {record}",
    ):
        assert "may not" in desk.refused("I2", *typed.split())
    assert "may not" in desk.refused(
        "I2", "check", "--candidate", "I2", "--element", "door-drills", "--procedure",
        "arm-door-2l", "--words", desk.words(*SAID), "--takes", desk.folder / "own",
    )  # fmt: skip


def test_listening_is_on_record_and_needs_a_purpose(stage: Stage) -> None:
    """Another's sound is heard for a stated purpose only, and the person can see who listened."""
    desk, sound = stage.desk, stage.words["U"]
    file = desk.folder / "heard.flac"
    assert "purpose" in desk.refused("E1", "records", "listen", sound, "--to", file)
    assert not file.exists()
    desk.good("E1", "records", "listen", sound, "--to", file, "--purpose", "appeal")
    assert file.read_bytes() == b"not really FLAC"
    assert file.stat().st_mode & 0o077 == 0
    seen = desk.good("T1", "records", "accesses", "--person", "T1")
    assert any(f"sound {sound}" in line and line.endswith(": appeal") for line in seen)


BAD = (
    ("records show nothing-1", "no such result"),
    ("records overrule R nostep said --reason r --correct", "has no step"),
    ("records overrule U pin said --reason r", "already"),
    ("records overrule U pin wrong --reason ''", "reason"),
    ("records mark U --verdict pin:said", "STEP=VERDICT"),
    ("records sign R", "signed already"),
    ("records sign U U", "once"),
    ("records retrain close nothing-2 how", "no such"),
    ("records due --on 2026-02-30", "no date"),
    ("records due --programme nowhere.yaml", "nowhere.yaml"),
    ("records report check --to D", "name a RECORD"),
    ("records report person T1 --format svg --to D", "--format"),
    ("records report own T1 --to D", "--format"),
    ("records report person T1 --to nowhere", "no such folder"),
    ("records report person T9 --to D", "nobody has this staff number"),
    ("records list --person T9", "nobody has this staff number"),
    ("check --candidate T9 --element door-drills", "nobody has this staff number"),
    ("check --candidate T1 --element dor-drills", "not in"),
    ("check --candidate T1 --element door-by-hand-240", "practice alone"),
    ("check --candidate T1 --element door-drills --procedure evacuation-commands", "not of"),
    ("check --candidate T1 --element door-drills --count 7", "1 to 6"),
    ("check --candidate T1 --element door-drills --words W", "one for each"),
    ("check --candidate T1 --element ditching --words nowhere.jsonl", "nowhere.jsonl"),
    ("check --candidate T1 --element door-drills --take nowhere", "nowhere"),
    ("records list --records nowhere.db", "create one first"),
    ("records list --records mysql://a@b/c", "sqlite or postgresql"),
    ("records list --key nowhere.key", "nowhere.key"),
)


@pytest.mark.parametrize(("typed", "told"), BAD, ids=[typed for typed, _ in BAD])
def test_what_cannot_be_used_is_one_line(stage: Stage, typed: str, told: str) -> None:
    """Exit status 2, one line that names what is wrong, no trace of a program's insides."""
    given = stage.words | {"D": str(stage.desk.folder)}
    words = [given.get(word, word).replace("''", "") for word in typed.split()]
    before = _rows(stage.desk.records)
    assert told in stage.desk.refused("I1", *words)
    assert _rows(stage.desk.records) == before


UPKEEP = (
    ("records verify --known east:1:00", "no chain head"),
    ("records verify --heads nowhere", "nowhere"),
    ("records restore nowhere --station west --records D/new.db", "no such file"),
    ("records restore W --station west --records D/new.db", "no backup"),
    ("records create --station e/w --zone UTC --administrator A1 --name N --records D/n.db",
     "letters and digits"),
    ("records create --station e --zone Mars --administrator A1 --name N --records D/n.db",
     "no time zone"),
    ("records create --station e --zone UTC --administrator A1 --name N", "exists already"),
    ("people leave T1 --on tomorrow --as A1", "no date"),
    ("people change T1 --number T2 --as A1", "has this staff number already"),
    ("people add T1 Again --is trainee --as A1", "has this staff number already"),
    ("records retention sound ten --as A1", "whole number"),
    ("records backup D/records.db --as A1", "file is in the way"),
    ("records merge nowhere --as A1", "no such file"),
    ("records erase-person A1 --reason r --as A1", "another administrator"),
    ("records import W --as A1", "words.jsonl"),

)  # fmt: skip


@pytest.mark.parametrize(("typed", "told"), UPKEEP, ids=[typed for typed, _ in UPKEEP])
def test_what_an_administrator_mistypes_is_one_line(stage: Stage, typed: str, told: str) -> None:
    """The same for what keeps the store; no half-made file is left behind."""
    desk = stage.desk
    words = [stage.words.get(word, word).replace("D/", f"{desk.folder}/") for word in typed.split()]
    status, _, err = desk.run("A1" if "--as" in words else None, *_without_as(words))
    assert (status, len(err)) == (2, 1), err
    assert told in err[0]
    assert not (desk.folder / "new.db").exists()
    assert not (desk.folder / "n.db").exists()


def _without_as(words: list[str]) -> list[str]:
    return words[: words.index("--as")] if "--as" in words else words


def test_no_pin_is_no_entry(desk: Desk) -> None:
    """Without a PIN in the environment or the input nothing is tried."""
    desk.environment.setattr("sys.stdin", open("/dev/null", encoding="utf-8"))  # noqa: PTH123, SIM115
    desk.environment.setenv("REHEARSE_RECORDS", str(desk.records))
    desk.environment.delenv("REHEARSE_PIN", raising=False)
    status, _, err = desk.type_in("records", "list", "--as", "I1")
    assert (status, len(err)) == (2, 1)
    assert "no PIN" in err[0]
