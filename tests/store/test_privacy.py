"""What is personal: kept with consent, read on record, unreadable on the disk, erased for good."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from rehearse.errors import StoreError
from rehearse.safety import NOTICE
from rehearse.store import (
    MissingError,
    NewPerson,
    NotAcceptedError,
    NotAllowedError,
    Role,
    Store,
    TakeRef,
    Text,
    new_key,
    read_key,
)
from tests.store.station import CHEAP, KEY, PIN, Station, make_station

NAMES = (
    "Zoë 'Robert'); DROP TABLE person;--",
    "../../etc/passwd",
    "\u0645\u0631\u064a\u0645 \u674e\u96f7 \U0001f469\u200d\u2708\ufe0f",
    '=HYPERLINK("x")',
    "O\u2019Brien\tJr.",
)
SOUND = b"fLaC" + bytes(range(256)) * 40
VOICE = "a sentence that only she says"


def _with_sound(station: Station) -> str:
    """A result of T1 with a remark and sound."""
    actor = station.actor("I1")
    result = station.check("I1", "T1")
    station.store.privacy.consent(actor, station.people["T1"].id, Text.SOUND, given=True)
    station.store.sounds.keep(actor, result, SOUND)
    station.store.results.remark(actor, result, VOICE)
    return result


def test_sound_is_kept_only_with_consent_and_heard_on_record(station: Station) -> None:
    """A voice would be kept without consent, or be listened to without a trace."""
    store, actor, trainee = station.store, station.actor("I1"), station.people["T1"].id
    new = station.new("I1", "T1")
    ref = TakeRef("2026-10-01-a", "0" * 64, hashlib.sha256(SOUND).hexdigest())
    result = store.results.record(actor, replace(new, take=ref)).id
    with pytest.raises(NotAllowedError, match="consent"):
        store.sounds.keep(actor, result, SOUND)
    store.privacy.consent(station.actor("T1"), trainee, Text.SOUND, given=True)
    store.privacy.consent(station.actor("T1"), trainee, Text.SOUND, given=False)
    with pytest.raises(NotAllowedError, match="consent"):
        store.sounds.keep(actor, result, SOUND)
    store.privacy.consent(station.actor("T1"), trainee, Text.SOUND, given=True)
    with pytest.raises(NotAcceptedError, match="not the sound"):
        store.sounds.keep(actor, result, SOUND + b"x")
    store.sounds.keep(actor, result, SOUND)
    with pytest.raises(NotAcceptedError, match="purpose"):
        store.sounds.read(actor, result, " ")
    assert store.sounds.read(actor, result, "an appeal") == SOUND
    assert store.sounds.read(station.actor("T1"), result, "") == SOUND
    accesses = store.privacy.accesses(station.actor("T1"), trainee)
    assert [(a.by, a.what, a.record, a.purpose) for a in accesses] == [
        (actor.person, "sound", result, "an appeal")
    ]


def test_names_of_any_script_come_back_as_they_went_in(station: Station) -> None:
    """A name with quotes, path parts or another script would be changed, or do harm."""
    for at, name in enumerate(NAMES):
        station.add(f"N{at}", Role.TRAINEE, name)
    people = station.store.people.all(station.actor("A1"))
    assert {person.name for person in people} >= set(NAMES)
    for bad in ("nul\0", "half \ud800", "", "x" * 1000):
        with pytest.raises(NotAcceptedError):
            station.add("N9", Role.TRAINEE, bad or " ")
    assert station.store.verify().fault is None


@pytest.mark.parametrize("key", [None, KEY])
def test_erasure_leaves_results_and_no_trace(
    fresh_url: Callable[[], str], tmp_path: Path, key: bytes | None
) -> None:
    """An erased name or voice would still lie in the file, or the results would be gone too."""
    url = fresh_url()
    station = make_station(url, key=key)
    name = "Nobody Else Is Called This"
    person = station.people["T1"]
    new = NewPerson(person.staff_number, name, person.roles)
    station.store.people.change(station.actor("A1"), person.id, new)
    result = _with_sound(station)
    station.store.signing.sign(station.actor("I1"), [result], PIN)
    head = station.store.head()
    erased = station.store.privacy.erase(station.actor("A1"), person.id, "asked for")
    assert dict(erased.counts) == {
        Text.IDENTITY: 2, Text.CREDENTIAL: 1, Text.REMARK: 1, Text.SOUND: 1,
    }  # fmt: skip
    with pytest.raises(MissingError):
        station.store.sounds.read(station.actor("I1"), result, "again")
    record = station.store.results.get(station.actor("I1"), result)
    assert record.signature is not None
    assert [remark.text for remark in record.remarks] == [""]
    assert station.store.people.get(station.actor("A1"), person.id).name == ""
    assert station.store.verify([head]).fault is None
    if url.startswith("sqlite"):
        files = b"".join(file.read_bytes() for file in tmp_path.rglob("records*"))
        assert name.encode() not in files
        assert VOICE.encode() not in files
        assert SOUND[:400] not in files
    with pytest.raises(NotAcceptedError, match="erased"):
        station.check("I1", "T1")


def test_names_and_sound_are_unreadable_without_the_operator_key(tmp_path: Path) -> None:
    """A stolen file or backup would give away names, remarks and voices."""
    key = new_key(tmp_path / "key")
    assert read_key(tmp_path / "key") == key
    url = f"sqlite:///{tmp_path}/records.db"
    station = make_station(url, key=key)
    station.add("N1", Role.TRAINEE, "Unmistakable Name")
    _with_sound(station)
    station.store.upkeep.backup(station.actor("A1"), tmp_path / "b.jsonl", as_text=True)
    files = b"".join(f.read_bytes() for f in tmp_path.iterdir() if f.name != "key")
    for secret in (b"Unmistakable", VOICE.encode(), SOUND[:400], SOUND[:400].hex().encode()):
        assert secret not in files
    assert station.store.verify().fault is None
    station.store.close()
    for wrong in (None, bytes(32)):
        with pytest.raises(StoreError, match="operator key"):
            Store.open(url, key=wrong, cost=CHEAP)
    with Store.open(url, key=key, clock=station.clock, cost=CHEAP) as store:
        assert "Unmistakable Name" in {p.name for p in store.people.all(store.sign_in("A1", PIN))}
    (tmp_path / "key").chmod(0o644)
    with pytest.raises(StoreError, match="chmod 600"):
        read_key(tmp_path / "key")


def test_export_of_a_person_is_complete(station: Station) -> None:
    """Somebody who asks what is kept about them would not be told all of it."""
    result = _with_sound(station)
    store, trainee = station.store, station.people["T1"]
    store.marks.begin(station.actor("I2"), result)
    marks = dict.fromkeys(("step-1", "step-2"), "wrong")
    store.marks.hand_in(station.actor("I2"), result, marks)  # type: ignore[arg-type]
    store.signing.sign(station.actor("I1"), [result], PIN)
    store.sounds.read(station.actor("E1"), result, "an appeal")
    export = store.privacy.export(station.actor("A1"), trainee.id)
    text = json.dumps({name: list(rows) for name, rows in export.rows.items()}, ensure_ascii=False)
    for kept in (trainee.name, VOICE, "an appeal", "the drum", result):
        assert kept in text
    assert export.sounds == {result: SOUND}
    assert export.notice == NOTICE
    about = {
        name: len(rows)
        for name, rows in export.rows.items()
        if name
        in {"person", "result", "sound", "remark", "consent", "second_mark", "seal", "access"}
    }
    assert about == {
        "person": 1, "result": 1, "sound": 1, "remark": 1, "consent": 1, "second_mark": 2,
        "seal": 1, "access": 2,
    }  # fmt: skip
    assert station.people["T2"].id not in text


def test_tidy_keeps_each_kind_for_its_time(station: Station) -> None:
    """Voices would be kept for ever, or records that must be kept would go with them."""
    result = _with_sound(station)
    store, administrator = station.store, station.actor("A1")
    assert not store.privacy.tidy(administrator).counts
    station.clock.now += timedelta(days=29)
    assert not store.privacy.tidy(administrator).counts
    station.clock.now += timedelta(days=2)
    assert dict(store.privacy.tidy(administrator).counts) == {Text.SOUND: 1}
    store.privacy.retention(administrator, Text.REMARK, 40)
    store.privacy.retention(administrator, Text.IDENTITY, 365)
    station.clock.now += timedelta(days=10)
    assert dict(store.privacy.tidy(administrator).counts) == {Text.REMARK: 1}
    store.people.leave(administrator, station.people["T1"].id, date(2026, 12, 1))
    station.clock.now += timedelta(days=300)
    assert not store.privacy.tidy(administrator).counts
    station.clock.now += timedelta(days=200)
    assert store.privacy.tidy(administrator).counts[Text.IDENTITY] == 2
    assert store.results.get(administrator, result).result.steps
    assert {r.kind: r.days for r in store.privacy.retentions(administrator)} == {
        Text.SOUND: 30, Text.REMARK: 40, Text.IDENTITY: 365, Text.CREDENTIAL: None,
    }  # fmt: skip
    assert store.verify().fault is None
