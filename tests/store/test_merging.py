"""Two stations become one, backups come back, and nothing is lost or counted twice."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from rehearse.errors import StoreError
from rehearse.judge.verdict import Verdict
from rehearse.programme.model import Element, Window
from rehearse.store import (
    DamagedError,
    Kind,
    NotAcceptedError,
    Person,
    Store,
    Text,
    restore,
)
from tests.store.station import CHEAP, KEY, PIN, Station, make_station

DOORS = Element("doors", "Doors", (), (), ("arm-door-2l",), 12, Window(3), "both", "rule", 36)


def _reopened(station: Station, url: str) -> Station:
    store = Store.open(url, clock=station.clock, cost=CHEAP)
    return Station(url, store, station.clock, store.sign_in("A1", PIN), station.people)


def _everything(station: Station) -> list[object]:
    actor = station.actor("A1")
    return [station.store.people.all(actor, left=True), *station.store.results.every(actor)]


def test_merging_converges_and_counts_once(fresh_url: Callable[[], str]) -> None:
    """Two stations' records would be lost, doubled, or differ by which one merged first."""
    east, west = make_station(fresh_url(), "east"), make_station(fresh_url(), "west")
    first, second = east.check("I1", "T1", "ss"), west.check("I1", "T1", "sw")
    east.store.results.remark(east.actor("I1"), first, "from the east")
    west.store.signing.sign(west.actor("I1"), [second], PIN)
    with_east = west.store.upkeep.merge(west.actor("A1"), east.url)
    with_west = east.store.upkeep.merge(east.actor("A1"), west.url)
    assert with_east.rows > 0
    assert with_west.rows > 0
    assert len(with_east.linked) == len(west.people)
    for station, other in ((east, west), (west, east), (east, west)):
        station.store.upkeep.merge(station.actor("A1"), other.url)
    for station, other in ((east, west), (west, east)):
        again = station.store.upkeep.merge(station.actor("A1"), other.url)
        assert again.linked == ()
        assert station.store.verify().fault is None
    assert [p.staff_number for p in east.store.people.all(east.actor("A1"))].count("T1") == 1
    assert _everything(east) == _everything(west)
    records = list(east.store.results.of(east.actor("I1"), east.people["T1"].id))
    assert [record.result.id for record in records] == [first, second]
    assert len({record.result.person for record in records}) == 1
    due = [
        s.store.currency.due(s.actor("A1"), [DOORS], records[0].result.taken_on)
        for s in (east, west)
    ]
    assert due[0] == due[1]
    assert {d.staff: d.state for d in due[0]}["T1"] == "blocked"


def test_overrule_made_elsewhere_after_a_seal_is_shown_and_does_not_count(
    fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    """A signed verdict would be changed by merging an overrule its signer never saw."""
    east = make_station(fresh_url(), "east")
    result = east.check("I1", "T1", "ss")
    west_url = fresh_url()
    east.store.upkeep.backup(east.actor("A1"), tmp_path / "backup")
    restore(tmp_path / "backup", west_url, station="west")
    west = _reopened(east, west_url)
    overrule = west.store.results.overrule(
        west.actor("I2"), result, "step-1", Verdict.WRONG, "I heard otherwise"
    )
    east.store.signing.sign(east.actor("I1"), [result], PIN)
    east.store.upkeep.merge(east.actor("A1"), west.url)
    record = east.store.results.get(east.actor("I1"), result)
    assert record.passed
    assert record.verdicts["step-1"] is Verdict.SAID
    assert record.uncovered == (overrule.id,)
    assert east.store.verify().fault is None


@pytest.mark.parametrize("as_text", [False, True])
def test_a_backup_comes_back_whole_on_either_database(
    station: Station,
    fresh_url: Callable[[], str],
    tmp_path: Path,
    as_text: bool,
) -> None:
    """A backup would lack rows, names or sound, or could not be merged with what came after."""
    result = station.check("I1", "T1", "sw")
    actor = station.actor("I1")
    station.store.privacy.consent(actor, station.people["T1"].id, Text.SOUND, given=True)
    station.store.sounds.keep(actor, result, b"the sound")
    station.store.results.remark(actor, result, "Ünïcode \u4e2d\U0001f600 'quoted'")
    station.store.signing.sign(actor, [result], PIN)
    heads = station.store.upkeep.backup(station.actor("A1"), tmp_path / "backup", as_text=as_text)
    later = station.check("I1", "T2", "ss")
    for url in (fresh_url(), f"sqlite:///{tmp_path}/other.db"):
        restore(tmp_path / "backup", url, station="west", known=heads)
        west = _reopened(station, url)
        assert west.store.verify(heads).fault is None
        assert west.store.sounds.read(west.actor("I1"), result, "a look") == b"the sound"
        assert west.store.station != station.store.station
        own = [r for r in station.store.results.every(station.actor("E1")) if r.result.id != later]
        assert list(west.store.results.every(west.actor("E1"))) == own
        west.store.upkeep.merge(west.actor("A1"), station.url)
        assert later in {r.result.id for r in west.store.results.every(west.actor("E1"))}
        west.store.close()


def test_a_damaged_or_strange_store_is_not_merged(file_station: Station, tmp_path: Path) -> None:
    """Merging would spread damage, another operator's data, or one of two histories."""
    station = file_station
    station.store.close()
    shutil.copy(tmp_path / "records.db", tmp_path / "copy.db")
    station = _reopened(station, station.url)
    copy = _reopened(station, f"sqlite:///{tmp_path}/copy.db")
    station.check("I1", "T1")
    copy.check("I1", "T2")
    with pytest.raises(DamagedError, match=r"two histories|older copy"):
        station.store.upkeep.merge(station.actor("A1"), copy.url)
    sealed = make_station(f"sqlite:///{tmp_path}/sealed.db", "west", KEY)
    with pytest.raises(NotAcceptedError, match="operator key"):
        station.store.upkeep.merge(station.actor("A1"), sealed.url)
    station.store.upkeep.backup(station.actor("A1"), tmp_path / "b.jsonl", as_text=True)
    text = (tmp_path / "b.jsonl").read_text(encoding="utf-8")
    (tmp_path / "cut.jsonl").write_text("\n".join(text.splitlines()[:-1]), encoding="utf-8")
    (tmp_path / "bent.jsonl").write_text(text.replace("said", "wrong", 1), encoding="utf-8")
    for name in ("cut.jsonl", "bent.jsonl"):
        before = station.store.head()
        with pytest.raises(StoreError, match=r"restore another|was changed") as refusal:
            restore(tmp_path / name, f"sqlite:///{tmp_path}/{name}.db", station="west")
        assert "\n" not in str(refusal.value)
        assert not (tmp_path / f"{name}.db").exists()
        assert station.store.head() == before
    assert station.store.verify().fault is None


def test_what_was_erased_stays_erased_through_merges(fresh_url: Callable[[], str]) -> None:
    """A person who was erased at one station would come back from the other."""
    east, west = make_station(fresh_url(), "east"), make_station(fresh_url(), "west")
    result = west.check("I1", "T1")
    west.store.results.remark(west.actor("I1"), result, "only in the west")
    for station, other in ((east, west), (west, east)):
        station.store.upkeep.merge(station.actor("A1"), other.url)
    east.store.privacy.erase(east.actor("A1"), east.people["T1"].id, "asked for")
    for station, other in ((west, east), (east, west), (west, east)):
        station.store.upkeep.merge(station.actor("A1"), other.url)
    for station in (east, west):
        people: list[Person] = list(station.store.people.all(station.actor("A1"), left=True))
        assert "T1" not in {person.staff_number for person in people}
        record = station.store.results.get(station.actor("I1"), result)
        assert [remark.text for remark in record.remarks] == [""]
        assert station.store.verify().fault is None


def test_past_results_imported_twice_count_once(station: Station) -> None:
    """Importing the same list again, or at two stations, would double a person's history."""
    past = replace(station.new("I1", "T1"), kind=Kind.PAST, examiner="")
    administrator = station.actor("A1")
    results = station.store.results
    assert len(results.record_past(administrator, [past])) == 1
    assert results.record_past(administrator, [past]) == ()
    assert len(list(results.of(administrator, station.people["T1"].id))) == 1


def test_what_is_no_store_is_refused_in_one_line(tmp_path: Path) -> None:
    """A wrong path or URL would end in a traceback, or a store would be made by mistake."""
    (tmp_path / "text.db").write_text("this is a letter, not a database " * 100, encoding="utf-8")
    (tmp_path / "empty.db").touch()
    places = [f"sqlite:///{tmp_path}/{name}.db" for name in ("text", "empty", "nowhere")]
    for url in (*places, "mysql://host/records", "records.db", "postgresql://nobody@127.0.0.1:1/x"):
        with pytest.raises(StoreError) as refusal:
            Store.open(url)
        assert "\n" not in str(refusal.value)
    assert not (tmp_path / "nowhere.db").exists()
