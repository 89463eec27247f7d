"""An oral check by voice from end to end: a candidate speaks, an instructor types, nobody helps."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import soundfile

from rehearse.judge.verdict import Verdict
from rehearse.record.take import Take
from rehearse.store import Record, Store
from tests.session.conftest import Session
from tests.store.station import PIN, Station, make_station

if TYPE_CHECKING:
    from tests.session.conftest import SoundServer

    StartServer = Callable[[], SoundServer]

pytestmark = pytest.mark.live

PROGRAMME = """\
programme: test
operator: Fellmark Air (invented)
example: true
zone: Europe/Lisbon
elements:
  - id: doors
    title: Doors
    aircraft: any
    procedures: [arm-door-2l]
    period: 12 months
    method: oral
    rule: "TM 1 (example)"
    retention: 3 years
"""
Held = tuple[Session, Station]


@pytest.fixture(scope="module")
def server(sound_server: StartServer) -> SoundServer:
    """One sound server for the checks here, which come one after another."""
    return sound_server()


@pytest.fixture
def hold(server: SoundServer, tmp_path: Path) -> Iterator[Callable[[], Held]]:
    """Begins checks of T1 by I1."""
    sessions: list[Session] = []

    def start() -> Held:
        station = make_station(f"sqlite:///{tmp_path}/records.db")
        station.store.close()
        (tmp_path / "programme.yaml").write_text(PROGRAMME, "utf-8")
        environment = {
            "REHEARSE_RECORDS": str(tmp_path / "records.db"),
            "REHEARSE_PROGRAMME": str(tmp_path / "programme.yaml"),
            "REHEARSE_PIN": PIN,
            "PYTHONUNBUFFERED": "1",
        }
        command = ("check", "--as", "I1", "--candidate", "T1", "--element", "doors", "--headset")
        sessions.append(
            Session(server, tmp_path / "takes", command=command, environment=environment)
        )
        return sessions[-1], station

    yield start
    for session in sessions:
        session.close()


def _record(station: Station) -> tuple[Store, Record]:
    store = Store.open(station.url)
    (record,) = store.results.of(store.sign_in("I1", PIN), station.people["T1"].id)
    return store, record


def test_a_check_by_voice(hold: Callable[[], Held], server: SoundServer) -> None:
    """Consent first, a pause that is not judged, no help, the sound kept in the store only."""
    session, station = hold()
    session.type_in("yes")
    session.type_in("yes")
    welcome = session.wait_for("the announcement", lambda row: row["event"] == "PromptStarted")
    assert "recorded, as you agreed" in welcome["text"]
    session.wait_for("its end", lambda row: row["event"] == "PromptEnded")
    assert session.say("hint")["event"] == "Requested"
    assert session.say("flap")["event"] == "Heard"
    session.type_in("r speaks up well")
    session.type_in("p")
    session.wait_for("the pause", lambda row: row.get("act") == "pause")
    server.speak("drum-wrong")
    aside = session.wait_for("what was said in it", lambda row: row["event"] == "Aside")
    assert (aside["kind"], aside["text"]) == ("pause", "")
    session.type_in("g")
    session.wait_for("the going on", lambda row: row.get("act") == "go on")
    assert session.say("drum-right")["event"] == "Heard"
    session.type_in("e")
    assert session.end() == 1, session.complaint()
    prompts = [row for row in session.rows() if row["event"] == "PromptStarted"]
    assert len(prompts) == 1
    store, record = _record(station)
    with store:
        assert record.verdicts["flap"] is Verdict.SAID
        assert record.verdicts["drum"] is Verdict.SAID
        assert record.verdicts["call"] is Verdict.NOT_SAID
        assert [remark.text for remark in record.remarks] == ["speaks up well"]
        assert record.sound_kept
        flac = store.sounds.read(store.sign_in("T1", PIN), record.result.id, "")
    sound, rate = soundfile.read(io.BytesIO(flac))
    take = Take.open(session.take)
    assert take.sound_path is None
    assert len(sound) / rate > 10.0
    stated = [row for row in session.rows() if row["event"] == "Stated"]
    assert [(row["what"], row["text"]) for row in stated[:1]] == [
        ("identity", station.people["T1"].id)
    ]
    assert "Name of T1" not in take.log_path.read_text("utf-8")


def test_without_consent_no_sound_is_kept(hold: Callable[[], Held]) -> None:
    """The candidate says no: the check is held and recorded, and no sound lies anywhere."""
    session, station = hold()
    session.type_in("yes")
    session.type_in("no")
    welcome = session.wait_for("the announcement", lambda row: row["event"] == "PromptStarted")
    assert "not recorded" in welcome["text"]
    session.wait_for("its end", lambda row: row["event"] == "PromptEnded")
    session.say("flap")
    assert not (session.take / "sound.flac").exists()
    session.type_in("e")
    assert session.end() == 1
    store, record = _record(station)
    with store:
        assert not record.sound_kept
        assert record.result.take is not None
        assert record.result.take.sound_sha256 == ""


def test_nobody_is_checked_in_anothers_name(hold: Callable[[], Held]) -> None:
    """Identity not confirmed: nothing is heard, no take is made, nothing is recorded."""
    session, station = hold()
    session.type_in("no")
    assert session.end() == 2
    assert "not there" in session.complaint()
    assert not session.takes.exists()
    store = Store.open(station.url)
    with store:
        found = store.results.of(store.sign_in("I1", PIN), station.people["T1"].id)
        assert list(found) == []


def test_a_killed_check_is_filed_from_its_log(
    hold: Callable[[], Held], server: SoundServer
) -> None:
    """`kill -9` in mid-check loses neither what was said nor the remarks."""
    session, station = hold()
    session.type_in("yes")
    session.type_in("yes")
    session.wait_for("the announcement", lambda row: row["event"] == "PromptStarted")
    session.wait_for("its end", lambda row: row["event"] == "PromptEnded")
    session.say("flap")
    session.type_in("r nervous")
    session.wait_for("the remark", lambda row: row.get("act") == "remark")
    time.sleep(1.5)  # until the sound of it has reached the disk
    session.program.kill()
    session.program.wait(10)
    again = Session(
        server,
        session.takes.parent / "unused",
        command=("check", "--as", "I1", "--candidate", "T1", "--element", "doors",
                 "--take", str(session.take)),
        environment={
            "REHEARSE_RECORDS": station.url,
            "REHEARSE_PROGRAMME": str(session.takes.parent / "programme.yaml"),
            "REHEARSE_PIN": PIN,
        },
    )  # fmt: skip
    assert again.end() == 1, again.complaint()
    again.close()
    store, record = _record(station)
    with store:
        assert record.verdicts["flap"] is Verdict.SAID
        assert [remark.text for remark in record.remarks] == ["nervous"]
        assert record.sound_kept
