"""The records from the command line: a whole course of events, and what must not go wrong in it."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from rehearse.book import shelf
from rehearse.events import Ended, Heard
from rehearse.record.take import TakeWriter
from rehearse.safety import NOTICE
from rehearse.session import score
from rehearse.store import Store
from tests.cli.conftest import PINS, SAID, Desk, plain


def test_from_the_check_to_the_signed_report(desk: Desk) -> None:
    """Checked, unclear decided, signed, corrected: everything stands on the printed record."""
    record = desk.check("I1", "T1", *SAID[:2], f"perhaps {SAID[2]}", *SAID[3:])
    assert "unclear" in desk.refused("I1", "records", "sign", record)
    desk.good("I1", "records", "overrule", record, "pin", "said", "--reason", "heard it click")
    desk.good("I1", "records", "remark", record, "calm and quick", "--second", "3.5")
    signed = desk.good("I1", "records", "sign", record)[-1]
    head = signed.rpartition(" ")[2]
    assert "signed already" in desk.refused(
        "I1", "records", "overrule", record, "pin", "wrong", "--reason", "no"
    )
    desk.good("E1", "records", "overrule", record, "drum", "wrong", "--reason", "away",
              "--correct")  # fmt: skip
    (entry,) = desk.good("I1", "records", "retrain", "list", "--open")
    assert "open" in entry
    shown = json.loads(desk.good("I1", "records", "show", record, "--json")[0])
    assert [(one["was"], one["verdict"], one["correction"]) for one in shown["overrules"]] == [
        ("unclear", "said", False),
        ("said", "wrong", True),
    ]
    assert shown["outcome"] == "not passed"
    assert shown["take"]["drawn"] == "seed 1: 1 of 1 drawn from 1"
    desk.good("I1", "records", "report", "check", record, "--to", desk.folder, "--paper", "letter")
    (printed,) = desk.folder.glob("oral-check-*.pdf")
    pages = PdfReader(printed).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    for words in (
        "heard it click",
        "away",
        "At 0:03.5: calm and quick",
        "Name of T1",
        "seed 1",
        NOTICE[:40],
    ):
        assert words in text
    assert printed.stat().st_mode & 0o077 == 0
    assert desk.good(None, "records", "verify", "--known", head)[0].startswith("sound:")
    desk.good("I1", "records", "retrain", "close", entry.split()[0], "drill with I2")
    assert desk.good("I1", "records", "retrain", "list", "--open") == []


def test_due_list_import_and_reports_agree(desk: Desk) -> None:
    """A past result makes an element current; the due list and the training record both say so."""
    past = desk.folder / "past.csv"
    past.write_text(
        "staff_number,element,date,method,outcome,examiner,remark\n"
        "T1,equipment,2026-10-14,practical,passed,F900,=1+1\n"
        "T1,evacuation-commands,2026-10-14,practical,passed,I1,\n",
        "utf-8",
    )
    status, out, err = desk.run("A1", "records", "import", past)
    assert (status, out) == (0, ["2 recorded, 0 were there before"])
    assert "kept but does not count" in err[0]
    assert desk.run("A1", "records", "import", past)[1] == ["0 recorded, 2 were there before"]
    due = ("records", "due", "--on", "2026-11-01", "--person", "T1", "--json")
    rows = [json.loads(line) for line in desk.good("I1", *due)]
    assert {row["element"] for row in rows} == {
        "door-drills", "emergency-doors", "evacuation-commands", "door-by-hand-240",
    }  # fmt: skip
    desk.good("I1", "records", "report", "person", "T1", "--on", "2026-11-01", "--format", "csv",
              "--to", desk.folder)  # fmt: skip
    (path,) = desk.folder.glob("training-record-*.csv")
    table = list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8-sig"))))
    assert {row["element"]: row["standing"] for row in table}["equipment"] == "current"
    remarks = " ".join(row["remark"] for row in table)
    assert "examiner F900" in remarks
    assert "' =1+1" in remarks  # so that no spreadsheet counts it
    assert "there already" in desk.refused(
        "I1", "records", "report", "person", "T1", "--on", "2026-11-01", "--format", "csv",
        "--to", desk.folder,
    )  # fmt: skip


def test_a_second_marker_is_blind_and_agreement_is_told(desk: Desk) -> None:
    """Whoever marks again sees the take and no mark on it, until the marks are handed in."""
    record = desk.check("I1", "T1", *SAID[:4])
    takes = ("--takes", desk.folder / "takes")
    shown = desk.good("I2", "records", "mark", record, *takes)
    assert any(SAID[1] in line for line in shown)
    assert not any("not_said" in line or "call: not" in line for line in shown)
    assert "hand in" in desk.refused("I2", "records", "show", record)
    assert "first marks" in desk.refused("I1", "records", "mark", record)
    marks = [f"{step}=said" for step in ("flap", "drum", "pin", "panes", "call")]
    desk.refused("I2", "records", "mark", record, "--verdict", *marks[:3])
    desk.good("I2", "records", "mark", record, "--verdict", *marks)
    desk.good("I2", "records", "show", record)
    told = json.loads(desk.good("A1", "records", "agreement", "--json")[0])
    assert (told["takes"], told["steps"], told["agreed"]) == (1, 5, 0.8)


def test_whoever_is_asked_to_mark_blind_sees_no_verdict_before(desk: Desk) -> None:
    """The list by which a marker finds the take would tell what it came to, or bar from marking."""
    record = desk.check("I1", "T1", *SAID[:2])
    other = desk.check("I1", "T2", seed=2)
    for who, why in (("T1", "may not"), ("A1", "may not"), ("I1", "gave the first marks")):
        assert why in desk.refused("I1", "records", "mark", record, "--ask", who)
    (asked,) = desk.good("I1", "records", "mark", record, "--ask", "I2")
    assert "I2 is asked" in asked
    assert "already" in desk.refused("A1", "records", "mark", record, "--ask", "I2")
    (waits,) = desk.good("I2", "records", "mark")
    assert waits.startswith(record)
    assert waits.endswith("to be marked by you, blind")
    assert desk.good("E1", "records", "mark") == ["nothing waits for your second marks"]
    listed = desk.good("I2", "records", "list")
    assert [line.split()[0] for line in listed] == [record, other]
    assert listed[0] == waits
    assert "passed" in listed[1]
    told = [json.loads(line) for line in desk.good("I2", "records", "list", "--json")]
    assert (told[0]["outcome"], told[0]["verdicts"]) == (None, None)
    for typed in (
        f"records show {record}",
        f"records overrule {record} call said --reason heard",
        f"records sign {record} --anyway",
        f"records report check {record} --to {desk.folder}",
    ):
        assert "hand in your own marks" in desk.refused("I2", *typed.split())
    desk.good("I1", "records", "sign", record)
    assert desk.good("I2", "records", "retrain", "list") == []
    marks = [f"{step}=said" for step in ("flap", "drum", "pin", "panes", "call")]
    desk.good("I2", "records", "mark", record, "--verdict", *marks)
    assert "not passed, signed" in desk.good("I2", "records", "list")[0]
    assert len(desk.good("I2", "records", "retrain", "list")) == 1
    assert "seen by E1" in _seen(desk, other)


def _seen(desk: Desk, record: str) -> str:
    desk.good("E1", "records", "list")
    return desk.refused("I1", "records", "mark", record, "--ask", "E1")


def test_a_trainee_is_told_by_name_who_examined(desk: Desk) -> None:
    """A trainee's own record named its examiner by an id that nobody could read."""
    record = desk.check("I1", "T1", *SAID[:4])
    desk.good("E1", "records", "show", record)
    desk.good("I1", "records", "sign", record)
    desk.good("T1", "records", "report", "person", "--to", desk.folder)
    desk.good("T1", "records", "report", "check", record, "--to", desk.folder)
    for printed in desk.folder.glob("*.pdf"):
        text = " ".join(" ".join(page.extract_text() for page in PdfReader(printed).pages).split())
        assert "Name of I1 (I1)" in text.translate(dict.fromkeys((0x2068, 0x2069)))  # isolates
        assert "not shown" not in text
    assert "examined by I1 Name of I1" in " ".join(desk.good("T1", "records", "show", record))
    (read, *_) = [
        line for line in desk.good("T1", "records", "accesses", "--person", "T1") if "E1" in line
    ]
    assert "E1 Name of E1" in read
    with Store.open(f"sqlite:///{desk.records}") as store:
        known = store.people.known(store.sign_in("T1", PINS["T1"]))
    assert {person.staff_number for person in known} == {"T1", "I1", "E1", "A1"}


def test_what_outlasts_an_erasure_names_nobody(desk: Desk) -> None:
    """A reason is part of the record for good; a name in it would still be read years later."""
    record, other = desk.check("I1", "T1", *SAID[:2]), desk.check("I1", "T2", seed=2)
    named = f"records overrule {record} pin said --reason T1-heard-it"
    assert "names the person (T1)" in desk.refused("I1", *named.split())
    desk.good("I1", "records", "sign", record)
    assert "names the person" in desk.refused("I1", *named.split(), "--correct")
    entry = desk.good("I1", "records", "retrain", "list")[0].split()[0]
    assert "names" in desk.refused("I1", "records", "retrain", "close", entry, "drill with T1")
    desk.good("I1", "records", "retrain", "close", entry, "drilled at the trainer")
    desk.good("I1", "records", "overrule", other, "pin", "wrong", "--reason", "that was T1's voice")
    erase = ("records", "erase-person", "T1", "--takes", desk.folder / "takes", "--reason")
    assert "names" in desk.refused("A1", *erase, "Name of T1 asked")
    status, out, err = desk.run("A1", *erase, "asked in writing")
    assert status == 0
    assert "1 identity" in out[0]
    assert len(err) == 1
    assert "still named in text that stays" in err[0]


def test_signing_in_spite_of_a_warning_must_be_said(desk: Desk) -> None:
    """Examiner and teacher the same: nothing is signed until that is accepted, and it stays."""
    words = desk.words(*SAID)
    out = desk.good(
        "I1", "check", "--candidate", "T1", "--element", "door-drills", "--procedure",
        "arm-door-2l", "--taught-by", "I1", "--json", "--takes", desk.folder / "takes",
        "--words", words,
    )  # fmt: skip
    record = json.loads(out[-1])["record"]
    status, _, err = desk.run("I1", "records", "sign", record)
    assert status == 2
    assert "same person" in err[0]
    assert json.loads(desk.good("I1", "records", "show", record, "--json")[0])["signed"] is False
    assert desk.run("I1", "records", "sign", record, "--anyway")[0] == 0
    shown = json.loads(desk.good("I1", "records", "show", record, "--json")[0])
    assert "same person" in shown["warnings"][0]


def test_several_procedures_come_in_the_drawn_order(desk: Desk) -> None:
    """Each file goes with its drawn procedure; files that do not fit leave no trace."""
    base = ("check", "--candidate", "T1", "--element", "door-drills", "--seed", "7", "--takes",
            desk.folder / "takes")  # fmt: skip
    (drawn,) = desk.good("I1", *base, "--count", "2", "--draw")
    names = drawn.split(": ")[1].split()
    (again,) = desk.good("I1", *base, "--count", "6", "--draw")
    assert again.split(": ")[1].split()[:2] == names
    words = desk.words("nothing of it")
    assert "one for each" in desk.refused("I1", *base, "--count", "2", "--words", words)
    assert not (desk.folder / "takes").exists()
    out = desk.good("I1", *base, "--count", "2", "--json", "--words", words, words)
    found = [json.loads(line) for line in out]
    assert [one["procedure"] for one in found] == names
    assert [one["take"]["drawn"] for one in found] == [
        f"seed 7: {place} of 2 drawn from 6" for place in (1, 2)
    ]


def test_a_check_that_was_cut_short_can_be_filed_once(desk: Desk) -> None:
    """A take that never reached the records is filed from its log, of its own candidate only."""
    record = desk.check()
    (take,) = (desk.folder / "takes").iterdir()
    fresh = desk.elsewhere("fresh")
    base = ("check", "--element", "door-drills", "--take", take, "--json")
    assert "recorded already" in desk.refused("I1", *base, "--candidate", "T1")
    assert "another person" in fresh.refused("I1", *base, "--candidate", "T2")
    shown = json.loads(desk.good("I1", "records", "show", record, "--json")[0])
    assert shown["verdicts"]["call"] == "said"


def test_a_changed_row_is_named(desk: Desk) -> None:
    """`verify` says not sound, names table and row, and ends with status 1."""
    record = desk.check()
    with sqlite3.connect(desk.records) as database:
        for (name,) in database.execute("select name from sqlite_master where type='trigger'"):
            database.execute(f"drop trigger {name}")
        database.execute("update result set passed = 0 where id = ?", (record,))
    status, out, err = desk.run(None, "records", "verify")
    assert (status, err) == (1, [])
    number = record.rpartition("-")[2]
    assert out[0].startswith(f"not sound: result, row {number} of east-")


def test_backup_restore_and_merge(desk: Desk) -> None:
    """A backup opens as another station, and what both wrote since comes together once."""
    first = desk.check("I1", "T1")
    backup = desk.folder / "backup.db"
    heads = [line.split()[1] for line in desk.good("A1", "records", "backup", backup)[1:]]
    other = Desk(desk.folder / "west", desk.folder / "west.db", desk.type_in, desk.environment)
    other.folder.mkdir()
    other.good(None, "records", "restore", backup, "--station", "west", "--known", *heads)
    there, here = other.check("I2", "T2"), desk.check("I1", "T2", seed=2)
    merged = desk.good("A1", "records", "merge", other.records)
    assert int(merged[0].split()[0]) > 0
    assert desk.good("A1", "records", "merge", other.records)[0].startswith("0 new rows")
    found = [line.split()[0] for line in desk.good("I1", "records", "list")]
    assert sorted(found) == sorted([first, there, here])
    assert desk.good(None, "records", "verify")[0].startswith("sound:")
    as_text = desk.folder / "backup.jsonl"
    desk.good("A1", "records", "backup", as_text, "--text")
    assert NOTICE in as_text.read_text("utf-8").split("\n")[0]


def test_a_persons_data_goes_out_and_away(desk: Desk) -> None:
    """An export has it all; an erasure leaves results without a name, here and among the takes."""
    record = desk.check()
    desk.good("I1", "records", "remark", record, "blinked a lot")
    folder = desk.folder / "export"
    desk.good("T1", "records", "export-person", "T1", "--to", folder)
    (path,) = folder.glob("person-*.json")
    assert "blinked a lot" in path.read_text("utf-8")
    assert path.stat().st_mode & 0o077 == 0
    takes = ("--takes", desk.folder / "takes")
    desk.good("A1", "records", "erase-person", "T1", "--reason", "asked for it", *takes)
    assert list((desk.folder / "takes").iterdir()) == []
    left = " ".join(desk.good("I1", "records", "show", record))
    assert "Name of T1" not in left
    assert "blinked" not in left
    raw = b"".join(part.read_bytes() for part in desk.folder.glob("records.db*"))
    assert b"Name of T1" not in raw
    assert b"blinked" not in raw
    assert desk.good(None, "records", "verify")[0].startswith("sound:")


def test_kept_practice_can_be_recorded(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A trainee's own takes go into the records as practice, and count for nothing that is due."""
    monkeypatch.setattr(score, "load_readers", lambda: None)
    monkeypatch.setattr(score, "Assessor", plain)
    with TakeWriter.create(
        desk.folder / "practice", shelf.find("arm-door-2l"), help_level="steady",
        started=datetime(2026, 10, 1, 8, tzinfo=UTC), source="words", keep_sound=False,
    ) as writer:  # fmt: skip
        for at, text in enumerate(SAID):
            writer.write(Heard(4.0 * at, 4.0 * at + 3, text))
        writer.write(Ended(30.0, "finished"))
    (made,) = desk.good("T1", "records", "practice", writer.folder)
    record = made.split(":")[0]
    shown = json.loads(desk.good("T1", "records", "show", record, "--json")[0])
    assert (shown["kind"], shown["outcome"]) == ("practice", "passed")
    assert "only a check is signed" in desk.refused("I1", "records", "sign", record, "--anyway")
    due = desk.good("T1", "records", "due", "--person", "T1")
    assert any("not yet checked" in line and "door-drills" in line for line in due)
    assert "may not" in desk.refused("T2", "records", "practice", "--person", "T1", writer.folder)


def test_practice_and_checks_stand_on_the_own_page(desk: Desk) -> None:
    """A trainee sees their own results as text and picture, and nobody else's."""
    desk.check("I1", "T1", *SAID[:3])
    desk.good("T1", "records", "report", "own", "--format", "text", "--to", desk.folder)
    (page,) = desk.folder.glob("practice-T1-*.txt")
    told = page.read_text("utf-8")
    assert "oral check, not passed" in told
    assert "3 of 5" in told
    desk.good("T1", "records", "report", "own", "--format", "svg", "--to", desk.folder)
    assert "may not" in desk.refused("T2", "records", "report", "own", "T1", "--format", "text",
                                     "--to", desk.folder)  # fmt: skip


@pytest.mark.parametrize(
    "name", ['=HYPERLINK("x")', "../../etc/passwd", 'O\'Neil "Bo" \u202eabc', "Ζωή 김 \t x", "-- ;"]
)
def test_odd_names_are_safe_everywhere(desk: Desk, name: str) -> None:
    """A name that is a formula, a path or a trick is shown, filed and exported without harm."""
    number = name[:12].replace("\t", " ")
    desk.good("A1", "people", "add", "--is", "trainee", "--", number, name)
    listed = desk.good("A1", "people", "list")
    assert not any(mark in line for line in listed for mark in "\t\u202e")
    before = set(desk.folder.rglob("*"))
    report = ("records", "report", "--to", desk.folder, "--format")
    desk.good("A1", *report, "csv", "--", "person", number)
    assert desk.run("A1", *report, "pdf", "--", "person", number)[0] == 0  # a font may be wanting
    made = set(desk.folder.rglob("*")) - before
    reports = [path for path in made if path.suffix in {".csv", ".pdf"}]
    assert len(reports) == 2
    assert all(path.parent == desk.folder for path in reports)
    (table,) = [path for path in reports if path.suffix == ".csv"]
    for row in csv.reader(io.StringIO(table.read_bytes().decode("utf-8-sig"))):
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in row)


def test_guessing_a_pin_is_slowed_and_on_record(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After three wrong PINs even the right one must wait, and the administrator sees all of it."""
    monkeypatch.setitem(PINS, "I1", "000001")
    for _ in range(3):
        assert "wrong" in desk.refused("I1", "records", "list")
    monkeypatch.setitem(PINS, "I1", "271802")
    assert "wait" in desk.refused("I1", "records", "list")
    tries = [line for line in desk.good("A1", "records", "sign-ins") if "I1" in line]
    assert sum("tried" in line for line in tries[-3:]) == 3
    monkeypatch.setenv("REHEARSE_NEW_PIN", "314159")
    desk.good("A1", "people", "pin", "I1")
    monkeypatch.setitem(PINS, "I1", "314159")
    desk.good("I1", "records", "list")


def test_pins_never_come_as_arguments(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """No option takes a PIN, where every program of the machine could read it."""
    with pytest.raises(SystemExit):
        desk.run("A1", "people", "pin", "I1", "--pin", "123456")
    capsys.readouterr()
    with pytest.raises(SystemExit):
        desk.run("A1", "people", "pin", "I1", "123456")


def test_an_own_pin_is_changed_with_the_old_one(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The signing key stays the same, so that older signatures and new ones are one person's."""
    first = desk.check()
    desk.good("I1", "records", "sign", first)
    monkeypatch.setenv("REHEARSE_NEW_PIN", "161803")
    desk.good("I1", "people", "pin", "I1")
    monkeypatch.delenv("REHEARSE_NEW_PIN")
    assert "wrong" in desk.refused("I1", "records", "list")
    monkeypatch.setitem(PINS, "I1", "161803")
    second = desk.check(seed=3)
    desk.good("I1", "records", "sign", second)
    with sqlite3.connect(desk.records) as database:
        keys = database.execute(
            "select distinct public_key from credential c join signature s on s.credential = c.id"
        ).fetchall()
    assert len(keys) == 1


def test_a_store_can_be_made_and_sealed_with_a_key(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """With an operator key no name lies on the disk in clear; without the key nothing opens."""
    key, records = tmp_path / "key", tmp_path / "sealed.db"
    desk.good(None, "records", "new-key", key)
    sealed = Desk(tmp_path, records, desk.type_in, monkeypatch)
    monkeypatch.setenv("REHEARSE_NEW_PIN", PINS["A1"])
    sealed.good(None, "records", "create", "--station", "north", "--zone", "Europe/Helsinki",
                "--administrator", "A1", "--name", "Aurelia Quandt", "--key", key)  # fmt: skip
    assert b"Quandt" not in records.read_bytes()
    assert "operator key" in sealed.refused("A1", "people", "list")
    assert "Quandt" in sealed.good("A1", "people", "list", "--key", key)[0]
    assert "sound:" in sealed.good(None, "records", "verify", "--key", key)[0]
