"""Keeping the store: backups while it is in use, restoring, and merging two stations."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection, select

from rehearse.errors import StoreError
from rehearse.record.place import cannot_write, create_private
from rehearse.store import merging, portable, tables
from rehearse.store.chain import heads, recorded
from rehearse.store.copying import insert_rows, must_be_sound, rows_of, take_heads
from rehearse.store.database import Database
from rehearse.store.desk import Desk
from rehearse.store.migrations import is_current, migrate
from rehearse.store.mishaps import DamagedError
from rehearse.store.permissions import Operation
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Head, Incident, Merged
from rehearse.store.verify import verify


@dataclass(frozen=True)
class Upkeep:
    """`Store.upkeep`: what an administrator does to keep the records safe."""

    _desk: Desk

    def backup(self, actor: Actor, path: Path, *, as_text: bool = False) -> tuple[Head, ...]:
        """Write a backup to a new file, while others go on working; returns its heads.

        A SQLite store gives a SQLite file, or with `as_text` the portable text that a PostgreSQL
        store always gives. The backup is verified before this returns.

        Raises:
            StoreError: the file exists or cannot be written.
            DamagedError: the backup is not sound, because the store is not.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.MAINTAIN)
            if as_text or not self._desk.database.is_sqlite:
                portable.write(connection, path)
            else:
                _copy_sqlite(self._desk.database, path)
        with opened(path) as connection:
            must_be_sound(connection, str(path))
            return heads(connection)

    def merge(self, actor: Actor, other: str | Path) -> Merged:
        """Take over what is new in another store: a database URL, a SQLite file or a backup.

        Doing it again brings nothing more. What was erased in either is erased here.

        Raises:
            DamagedError: the other store is broken, or contradicts this one; nothing is taken.
            NotAcceptedError: it belongs to another operator (key or time zone).
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.MAINTAIN)
        with opened(other) as source, self._desk.writing(actor) as writing:
            merged = merging.merge(writing, source, str(other), self._desk.vault)
        if merged.erased:
            self._desk.database.scrub()
        return merged

    def heads(self, actor: Actor) -> tuple[Head, ...]:
        """The end of every station's chain, to be printed or kept elsewhere."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_HEADS)
            return heads(connection)

    def incidents(self, actor: Actor) -> tuple[Incident, ...]:
        """What the store noticed or was put through, oldest first."""
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.MAINTAIN)
            links = Links.read(connection)
            rows = select(tables.incident).order_by(tables.incident.c.tick)
            return tuple(
                Incident(
                    row["id"],
                    recorded(dict(row)),
                    links.one(row["actor"]),
                    row["kind"],
                    row["text"],
                )
                for row in connection.execute(rows).mappings()
            )


@contextlib.contextmanager
def opened(place: str | Path) -> Iterator[Connection]:
    """A consistent view of a store that is only read: a URL, a SQLite file or a portable backup.

    Raises:
        StoreError: it is none, or of an older schema.
    """
    if isinstance(place, str) and "://" in place:
        with _view(Database.at(place)) as connection:
            yield connection
    elif portable.is_portable(Path(place)):
        with TemporaryDirectory(prefix="rehearse-") as folder:
            database = Database.at(f"sqlite:///{folder}/records.db")
            database.create_file()
            with database.write(new=True) as connection:
                migrate(connection)
                portable.read_into(connection, Path(place))
            with _view(database) as connection:
                yield connection
    else:
        with _view(Database.at(f"sqlite:///{Path(place).absolute()}")) as connection:
            yield connection


@contextlib.contextmanager
def _view(database: Database) -> Iterator[Connection]:
    try:
        with database.read() as connection:
            if not is_current(connection, database.name):
                raise StoreError(f"{database.name}: of an older version; open it once, then again")
            yield connection
    finally:
        database.close()


def fill(target: Connection, source: Connection, name: str, known: Sequence[Head]) -> None:
    """Fill an empty store with all of another.

    Raises:
        DamagedError: the other is broken, or not the one of the known heads.
    """
    found = verify(source, known)
    if found.fault is not None:
        raise DamagedError(f"{name}: {found.fault}; restore another backup")
    insert_rows(target, rows_of(source), source)
    take_heads(target, source)


def _copy_sqlite(database: Database, path: Path) -> None:
    from os import close, fsync

    descriptor = create_private(path)
    try:
        with (
            contextlib.closing(sqlite3.connect(database.path)) as source,
            contextlib.closing(sqlite3.connect(path)) as target,
        ):
            source.backup(target, pages=1000)
            target.execute("PRAGMA journal_mode = DELETE").fetchall()
        fsync(descriptor)
    except (sqlite3.Error, OSError) as error:
        path.unlink(missing_ok=True)
        raise cannot_write(path, error) from error
    finally:
        close(descriptor)
