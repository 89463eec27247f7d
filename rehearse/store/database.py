"""One database, SQLite or PostgreSQL: opened, migrated, and used in whole transactions."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import QueuePool

from rehearse.errors import StoreError
from rehearse.record.place import create_private

BUSY_SECONDS = 30.0  # how long to wait for another program that is writing
_DRIVERS = {"sqlite": "sqlite", "postgresql": "postgresql+psycopg"}


class Database:
    """Whole transactions on one database. Errors come out as one clear line (`StoreError`)."""

    def __init__(self, url: URL) -> None:
        self.url = url
        self.name = url.render_as_string(hide_password=True)
        self.is_sqlite = url.get_backend_name() == "sqlite"
        self.engine = _sqlite(url) if self.is_sqlite else create_engine(url, pool_pre_ping=True)

    @classmethod
    def at(cls, url: str) -> Database:
        """The database at this URL; nothing is opened yet.

        Raises:
            StoreError: no URL of a database that records can be kept in.
        """
        try:
            parsed = make_url(url)
            backend = parsed.get_backend_name()
            if backend not in _DRIVERS:
                raise StoreError(f"{backend}: records are kept in sqlite or postgresql only")
            if backend == "sqlite" and not parsed.database:
                raise StoreError(f"{url}: names no file; write sqlite:////folder/records.db")
            return cls(parsed.set(drivername=_DRIVERS[backend]))
        except (ArgumentError, NoSuchModuleError):
            raise StoreError(
                f"{url}: no database URL; write sqlite:////folder/records.db or "
                "postgresql://user@host/name"
            ) from None
        except ModuleNotFoundError:
            raise StoreError(
                "postgresql needs one more package: pip install 'rehearse[postgresql]'"
            ) from None

    @property
    def path(self) -> Path:
        """The file of a SQLite database."""
        return Path(str(self.url.database))

    @contextlib.contextmanager
    def write(self, *, new: bool = False) -> Iterator[Connection]:
        """One transaction that may write; it is on the disk when the block has been left.

        Two writers take turns: SQLite locks the file, PostgreSQL the table of heads, which a
        `new` database does not have yet.
        """
        with self._clear_errors(), self.engine.connect() as connection:
            writing = connection.execution_options(writing=True)
            with writing.begin():
                if not self.is_sqlite and not new:
                    writing.exec_driver_sql("LOCK TABLE head IN SHARE ROW EXCLUSIVE MODE")
                yield writing

    @contextlib.contextmanager
    def read(self) -> Iterator[Connection]:
        """One consistent view of everything that was written before."""
        with self._clear_errors(), self.engine.connect() as connection:
            reading = connection
            if not self.is_sqlite:
                reading = connection.execution_options(isolation_level="REPEATABLE READ")
            with reading.begin():
                yield reading

    def scrub(self) -> None:
        """After an erasure: leave no copy of it in the journal or in unused space.

        A reader that is still busy may keep the journal until it is done; then the next one does.
        """
        with self._clear_errors(), self.engine.connect() as connection:
            if self.is_sqlite:
                driver: Any = connection.connection.driver_connection
                driver.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            else:
                connection.execution_options(isolation_level="AUTOCOMMIT")
                connection.exec_driver_sql("VACUUM content")

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    @contextlib.contextmanager
    def _clear_errors(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise StoreError(f"{self.name}: {_mend(error)}") from error

    def create_file(self) -> None:
        """Make the file of a new SQLite database, for its owner only, and its folder.

        Raises:
            StoreError: it exists or cannot be made.
        """
        if self.path.exists():
            raise StoreError(f"{self.path}: exists already; name another file")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise StoreError(f"{self.path.parent}: cannot be made ({error.strerror})") from error
        os.close(create_private(self.path))


def _sqlite(url: URL) -> Engine:
    path = Path(str(url.database)).absolute()

    def connect() -> sqlite3.Connection:
        mode = "rw" if _may_write(path) else "ro"
        # Without a journal beside it, a file that cannot be written cannot change either.
        still = mode == "ro" and not path.with_name(path.name + "-wal").exists()
        target = f"{path.as_uri()}?mode={mode}{'&immutable=1' if still else ''}"
        return sqlite3.connect(
            target, uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )

    engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)

    @event.listens_for(engine, "connect")
    def _set_up(connection: sqlite3.Connection, _record: object) -> None:
        _pragmas(connection)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("writing")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _may_write(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _pragmas(connection: Any) -> None:  # noqa: ANN401 - a driver's connection, or SQLAlchemy's
    for pragma in (
        f"busy_timeout = {int(BUSY_SECONDS * 1000)}",
        "foreign_keys = ON",
        "synchronous = FULL",
        "secure_delete = ON",  # what is erased leaves no trace in free pages
        "trusted_schema = OFF",
        "cell_size_check = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")
    with contextlib.suppress(sqlite3.OperationalError):  # a disk that cannot be written
        connection.execute("PRAGMA journal_mode = WAL")


_MENDS = (
    ("disk is full", "the disk is full; free some space, nothing that was kept is lost"),
    ("No space left", "the disk is full; free some space, nothing that was kept is lost"),
    ("readonly database", "it cannot be written; check the disk and the file's permissions"),
    ("locked", "another program has been writing for too long; close it and try again"),
    ("unable to open", "there is no such store, or it may not be read; check the path"),
    ("disk I/O error", "the disk cannot be written or read; check it, then verify the records"),
    ("not a database", "this is no record store; restore it from a backup"),
    ("malformed", "the file is damaged; restore it from a backup"),
    ("no such table", "this is no record store; create one or name another"),
    ("connection", "the database server does not answer; check that it runs and the URL"),
)


def _mend(error: DBAPIError) -> str:
    text = str(error.orig)
    for sign, mend in _MENDS:
        if sign in text:
            return mend
    return " ".join(text.split())
