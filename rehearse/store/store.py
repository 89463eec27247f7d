"""The store itself: created, opened, restored; its parts do the rest."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from rehearse.errors import StoreError
from rehearse.store import people, pins, tables
from rehearse.store.canonical import to_text
from rehearse.store.chain import Writing, heads
from rehearse.store.currency import Currency
from rehearse.store.database import Database
from rehearse.store.desk import Clock, Desk
from rehearse.store.marks import Marks
from rehearse.store.migrations import is_current, migrate
from rehearse.store.mishaps import NotAcceptedError
from rehearse.store.people import People
from rehearse.store.pins import Cost
from rehearse.store.privacy import Privacy
from rehearse.store.results import Results
from rehearse.store.retraining import RetrainingEntries
from rehearse.store.settings import ZONE, name_station, setting, station_of, zone_of
from rehearse.store.signing import Signing
from rehearse.store.sounds import Sounds
from rehearse.store.upkeep import Upkeep, fill, opened
from rehearse.store.values import Actor, Head, NewPerson, Role, Verification
from rehearse.store.vault import Vault
from rehearse.store.verify import Progress, verify


def utc_now() -> datetime:
    """The system's clock."""
    return datetime.now(UTC)


class Store:
    """An open record store. Use it as a context manager, or call `close`."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.people = People(desk)
        self.results = Results(desk)
        self.signing = Signing(desk)
        self.marks = Marks(desk)
        self.retraining = RetrainingEntries(desk)
        self.sounds = Sounds(desk)
        self.privacy = Privacy(desk)
        self.currency = Currency(desk)
        self.upkeep = Upkeep(desk)

    @classmethod
    def create(
        cls,
        url: str,
        *,
        station: str,
        zone: str,
        administrator: NewPerson,
        pin: str,
        key: bytes | None = None,
        clock: Clock = utc_now,
        cost: Cost | None = None,
    ) -> Self:
        """Make a new store with its first administrator.

        url: `sqlite:////folder/records.db` (a new file, for its owner only), or
            `postgresql://user@host/database` (a database that has no records yet).
        station: this computer's name, such as "east"; some random digits are added, so that two
            stations never have the same.
        zone: the operator's time zone, IANA name; all dates are dates there.
        key: the operator key for names and sound, 32 bytes (`vault.read_key`); None for in clear.

        Raises:
            NotAcceptedError: a name, a zone or a PIN that cannot be used.
            StoreError: there is a store already, or it cannot be written.
        """
        if Role.ADMINISTRATOR not in administrator.roles:
            raise NotAcceptedError("the first person must be an administrator")
        name, where, vault = _station(station), zone_of(zone), Vault(key)
        credential = pins.new_credential(pin, cost or Cost())

        def begin(database: Database, connection: Connection) -> None:
            desk = Desk(database, name, where, vault, clock, cost or Cost())
            writing = Writing(connection, name, clock(), "", vault)
            writing.add(tables.setting, name=ZONE, value=to_text(zone))
            first = people.add(desk, writing, administrator)
            people.put_credential(writing, first.id, *credential)
            writing.finish()

        _new(url, name, begin)
        return cls.open(url, key=key, clock=clock, cost=cost)

    @classmethod
    def open(
        cls,
        url: str,
        *,
        key: bytes | None = None,
        clock: Clock = utc_now,
        cost: Cost | None = None,
    ) -> Self:
        """Open a store; an older schema is brought up to date first.

        A store whose disk cannot be written opens too, and can be read and verified.

        Raises:
            StoreError: there is none, a newer version made it, or the operator key is another's.
        """
        database = Database.at(url)
        if database.is_sqlite and not database.path.exists():
            raise StoreError(f"{database.path}: there is no store here; create one first")
        with database.read() as connection:
            current = is_current(connection, database.name)
        if not current:
            with database.write() as connection:
                migrate(connection)
        vault = Vault(key)
        with database.read() as connection:
            keys = set(connection.scalars(select(tables.content.c.key).distinct()))
            if not keys <= {vault.key_id}:
                raise StoreError(f"{database.name}: names and sound need another operator key")
            station = station_of(connection)
            zone: ZoneInfo = zone_of(setting(connection, ZONE, "UTC"))
        return cls(Desk(database, station, zone, vault, clock, cost or Cost()))

    def sign_in(self, staff_number: str, pin: str, role: Role | None = None) -> Actor:
        """The actor for everything else. Every PIN that is tried is recorded.

        role: as what; may be left out by who holds only one.

        Raises:
            PinError: wrong, or too soon after wrong ones (`wait` has the seconds).
            NotAllowedError: the person does not hold this role.
        """
        return people.sign_in(self._desk, staff_number, pin, role)

    def verify(
        self, known: Sequence[Head] = (), progress: Progress = lambda _rows: None
    ) -> Verification:
        """Whether every row is as it was written; see `rehearse.store.verify`.

        It needs no actor: it tells nothing of what the records say, and has to work on a store
        in which nobody can sign in any more.
        """
        with self._desk.database.read() as connection:
            return verify(connection, known, progress)

    @property
    def station(self) -> str:
        """The name under which this store writes."""
        return self._desk.station

    @property
    def zone(self) -> ZoneInfo:
        """The operator's time zone."""
        return self._desk.zone

    def head(self) -> Head:
        """The end of this station's chain, as it is printed on signed reports."""
        with self._desk.database.read() as connection:
            mine = [head for head in heads(connection) if head.station == self.station]
            return mine[0] if mine else Head(self.station, 0, bytes(32).hex())

    def close(self) -> None:
        """Let go of the database."""
        self._desk.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def restore(
    path: Path,
    url: str,
    *,
    station: str,
    known: Sequence[Head] = (),
    clock: Clock = utc_now,
) -> tuple[Head, ...]:
    """Make a new store from a backup; returns its heads.

    It writes under a new station name, so that it can be merged with whatever the old one wrote
    after the backup. The backup is verified first, against the known heads when given.

    Raises:
        DamagedError: the backup is broken, or was cut off before a known head.
        StoreError: it cannot be read, or there is a store at the URL already.
    """
    name = _station(station)

    def begin(_database: Database, connection: Connection) -> None:
        with opened(path) as source:
            fill(connection, source, str(path), known)
        writing = Writing(connection, name, clock(), "", Vault())
        text = ", ".join(str(head) for head in heads(connection))
        writing.add(tables.incident, kind="restored", text=text)
        writing.finish()

    _new(url, name, begin)
    database = Database.at(url)
    with database.read() as connection:
        found = heads(connection)
    database.close()
    return found


def _new(url: str, station: str, begin: Callable[[Database, Connection], None]) -> None:
    """A new database with the schema and what `begin` puts in, all or nothing."""
    database = Database.at(url)
    if database.is_sqlite:
        database.create_file()
    try:
        with database.write(new=True) as connection:
            if not database.is_sqlite and _has_tables(connection):
                raise StoreError(f"{database.name}: has a store already; name another database")
            migrate(connection)
            name_station(connection, station)
            begin(database, connection)
    except BaseException:
        database.close()
        if database.is_sqlite:
            for end in ("", "-wal", "-shm"):
                with suppress(OSError):
                    os.unlink(f"{database.path}{end}")  # noqa: PTH108 - not worth three paths
        raise
    database.close()


def _has_tables(connection: Connection) -> bool:
    return bool(connection.dialect.has_table(connection, "head"))


def _station(name: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9]{1,20}", name):
        raise NotAcceptedError(f"{name!r}: a station's name has 1 to 20 letters and digits")
    return f"{name}-{os.urandom(3).hex()}"
