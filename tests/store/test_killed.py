"""Killed at every write, a full disk, a read-only disk, two programs at once, a wrong clock."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import stat
import tempfile
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import event

from rehearse.errors import StoreError
from rehearse.judge.verdict import Verdict
from rehearse.store import Head, Role, Store, Text
from tests.store.faulty import faults
from tests.store.station import CHEAP, PIN, Station, make_station

# How many of the some 600 writes are tried, evenly spread; 0 for every one (a few minutes).
POINTS = int(os.environ.get("REHEARSE_KILLS", "60"))
NOBODY = 65534

Action = Callable[[Station, str], object]


def _sign(station: Station, result: str) -> object:
    return station.store.signing.sign(station.actor("I1"), [result], PIN)


def _correct(station: Station, result: str) -> object:
    return station.store.signing.correct(
        station.actor("I1"), result, "step-1", Verdict.WRONG, "on the recording", pin=PIN
    )


def _consent(station: Station, _result: str) -> object:
    trainee = station.people["T1"].id
    return station.store.privacy.consent(station.actor("I1"), trainee, Text.SOUND, given=True)


DAY: tuple[Action, ...] = (
    lambda s, _: s.add("N1", Role.TRAINEE),
    _consent,
    lambda s, r: s.store.sounds.keep(s.actor("I1"), r, bytes(range(256)) * 300),
    lambda s, r: s.store.results.remark(s.actor("I1"), r, "said with a pause"),
    lambda s, r: s.store.marks.begin(s.actor("I2"), r),
    lambda s, r: s.store.marks.hand_in(
        s.actor("I2"), r, {"step-1": Verdict.SAID, "step-2": Verdict.WRONG}
    ),
    lambda s, r: s.store.results.overrule(s.actor("I1"), r, "step-2", Verdict.SAID, "she said it"),
    _sign,
    _correct,
    lambda s, r: s.store.sounds.read(s.actor("E1"), r, "an appeal"),
    lambda s, _: s.store.people.change_pin(s.actor("T2"), PIN, "161803"),
    lambda s, _: s.store.privacy.erase(s.actor("A1"), s.people["T1"].id, "asked for"),
)
"""One day's work; what an action needs, those before it have made."""


def _open(station: Station, folder: Path) -> Station:
    url = f"sqlite:///{folder}/records.db"
    store = Store.open(url, clock=station.clock, cost=CHEAP)
    return Station(url, store, station.clock, station.administrator, station.people)


def _copy(station: Station, folder: Path) -> Station:
    """The same store in another folder, opened anew."""
    shutil.copytree(Path(station.url.removeprefix("sqlite:///")).parent, folder)
    return _open(station, folder)


def _in_child(work: Callable[[], None]) -> int:
    """Run this in a process of its own; its exit status, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        try:
            work()
            os._exit(0)
        except BaseException:  # noqa: BLE001 - a child has nobody to raise to
            os._exit(99)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@pytest.mark.slow
def test_kill_at_any_write_loses_nothing_that_was_done(tmp_path: Path) -> None:
    """A kill -9 at any of SQLite's writes would lose or change a finished record, or the store."""
    station = make_station(f"sqlite:///{tmp_path}/0/records.db")
    result = station.check("I1", "T1", "sw")
    writes: list[int] = []
    heads: list[Head] = []
    with faults() as fault:
        for at, action in enumerate(DAY):
            heads.append(station.store.head())
            station.store.close()
            station = _copy(station, tmp_path / str(at + 1))
            fault.done = 0
            action(station, result)
            writes.append(fault.done)
        station.store.close()
        every = [(at, point) for at, size in enumerate(writes) for point in range(1, size + 1)]
        assert len(every) >= 500
        points = POINTS or len(every)
        for number in range(points):
            at, point = every[number * len(every) // points]
            before = tmp_path / str(at)

            def work(at: int = at, point: int = point, before: Path = before) -> None:
                fault.done, fault.at, fault.way = 0, point, "tear" if point % 3 == 0 else "kill"
                DAY[at](_open(station, before), result)

            shutil.copytree(before, tmp_path / "before")
            assert _in_child(work) == -signal.SIGKILL
            after = _open(station, before)
            found = after.store.verify([heads[at]])
            assert found.fault is None
            if number % 10 == 0:
                with contextlib.suppress(StoreError):  # done already, where the kill came later
                    DAY[at](after, result)
                assert after.store.verify(found.heads).fault is None
            after.store.close()
            shutil.rmtree(before)
            (tmp_path / "before").rename(before)


def _sign_until_refused(station: Station, result: str) -> None:
    actor = station.actor("I1")
    while True:
        station.store.signing.sign(actor, [result], PIN)


@pytest.mark.parametrize("point", [1, 2, 3, 5, 8, 13, 21])
def test_full_disk_is_one_line_and_changes_nothing(file_station: Station, point: int) -> None:
    """A disk that fills up in mid-signature would leave half a record, or a traceback."""
    station = file_station
    result = station.check("I1", "T1")
    actor = station.actor("I1")
    before = station.store.head()
    with faults() as fault:
        fault.at, fault.way = point, "full"
        with pytest.raises(StoreError, match="disk") as refusal:
            _sign_until_refused(station, result)
        assert "\n" not in str(refusal.value)
        fault.way = "count"
        assert station.store.verify([before]).fault is None
        with contextlib.suppress(StoreError):  # signed already, where the disk filled up later
            station.store.signing.sign(actor, [result], PIN)
    assert station.store.results.get(actor, result).signature is not None
    assert station.store.verify([before]).fault is None


def test_read_only_disk_opens_verifies_and_refuses_to_write() -> None:
    """Records on a read-only disk could not be read or checked, or would seem to be written."""
    folder = Path(tempfile.mkdtemp(prefix="rehearse-"))
    try:
        station = make_station(f"sqlite:///{folder}/store/records.db")
        head = station.store.head()
        station.store.close()
        for path in (folder, *folder.rglob("*")):
            if os.geteuid() == 0:
                os.chown(path, NOBODY, NOBODY)
            path.chmod(0o500 if path.is_dir() else 0o400)

        def work() -> None:
            if os.geteuid() == 0:
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            with Store.open(station.url, clock=station.clock, cost=CHEAP) as store:
                assert store.verify([head]).fault is None
                with pytest.raises(StoreError, match="cannot be written"):
                    store.sign_in("I1", PIN)
                assert store.verify([head]).fault is None

        assert _in_child(work) == 0
    finally:
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o700)
        shutil.rmtree(folder)


def test_two_programs_write_at_once(station: Station) -> None:
    """Two programs on one store would lose each other's records, or fork the chain."""
    station.store.close()
    each = 25

    def work() -> None:
        with Store.open(station.url, clock=station.clock, cost=CHEAP) as store:
            mine = Station(station.url, store, station.clock, station.administrator, station.people)
            actor = mine.actor("I1")
            for _ in range(each):
                store.results.record(actor, mine.new("I1", "T1"))

    children = []
    for _ in range(3):
        child = os.fork()
        if child == 0:
            try:
                work()
                os._exit(0)
            except BaseException:  # noqa: BLE001 - a child has nobody to raise to
                os._exit(99)
        children.append(child)
    ends = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    assert ends == [0, 0, 0]
    with Store.open(station.url, clock=station.clock, cost=CHEAP) as store:
        actor = store.sign_in("I1", PIN)
        assert len(list(store.results.of(actor, station.people["T1"].id))) == 3 * each
        assert store.verify().fault is None


def test_clock_set_back_is_noted_and_order_is_kept(station: Station) -> None:
    """A clock set back would let an old verdict win over a later one, or break the chain."""
    result = station.check("I1", "T1", "ss")
    actor = station.actor("I1")
    overrule = station.store.results.overrule
    overrule(actor, result, "step-1", Verdict.WRONG, "first")
    station.clock.now -= timedelta(days=400)
    overrule(actor, result, "step-1", Verdict.SAID, "second, with the clock a year back")
    record = station.store.results.get(actor, result)
    assert [each.reason[:6] for each in record.overrules] == ["first", "second"]
    assert record.verdicts["step-1"] is Verdict.SAID
    incidents = station.store.upkeep.incidents(station.actor("A1"))
    assert [each.kind for each in incidents] == ["clock set back"]
    assert station.store.verify().fault is None


def test_files_are_their_owners_alone(file_station: Station) -> None:
    """Others on the computer could read the records, or the journal beside them."""
    folder = Path(file_station.url.removeprefix("sqlite:///")).parent
    backup = folder / "backup.db"
    file_station.store.upkeep.backup(file_station.actor("A1"), backup)
    file_station.store.upkeep.backup(
        file_station.actor("A1"), folder / "backup.jsonl", as_text=True
    )
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
    assert set(modes) >= {"records.db", "records.db-wal", "backup.db", "backup.jsonl"}
    assert set(modes.values()) == {0o600}


@pytest.fixture
def killed_clients(postgresql: Callable[[], str]) -> Iterator[Station]:
    """A store on a server, whose clients get killed."""
    station = make_station(postgresql())
    yield station
    station.store.close()


def test_killed_client_of_a_server_loses_nothing(killed_clients: Station) -> None:
    """A client killed between two statements would leave half an event on the server."""
    station = killed_clients
    result = station.check("I1", "T1", "sw")
    station.store.results.overrule(
        station.actor("I1"), result, "step-2", Verdict.SAID, "she said it"
    )
    station.store.close()
    point = 0
    while True:
        point += 1
        head = Store.open(station.url, clock=station.clock, cost=CHEAP)
        before = head.head()
        head.close()

        def work(point: int = point) -> None:
            done = 0
            with Store.open(station.url, clock=station.clock, cost=CHEAP) as store:

                def count(*_: object) -> None:
                    nonlocal done
                    done += 1
                    if done == point:
                        os.kill(os.getpid(), signal.SIGKILL)

                event.listen(store._desk.database.engine, "after_cursor_execute", count)
                store.signing.sign(store.sign_in("I1", PIN), [result], PIN)

        ended = _in_child(work)
        with Store.open(station.url, clock=station.clock, cost=CHEAP) as store:
            assert store.verify([before]).fault is None
        if ended == 0:
            break
        station.clock.now += timedelta(hours=1)  # what was killed looks like wrong PINs
        assert ended == -signal.SIGKILL
    assert point > 30
