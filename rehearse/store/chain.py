"""Adding rows: one chain per station, each row's hash over the one before it.

A row's `number` counts the rows of its station over all tables, from 1. Its `tick` is one more
than any the store had seen, so that ticks order rows as they came to be known, whatever the
clocks say (a Lamport clock). `at` is what the clock said.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select, update

from rehearse.store import tables
from rehearse.store.canonical import RowHash, salted_digest, time_of, when
from rehearse.store.values import Head, Text
from rehearse.store.vault import Vault

START = bytes(32)  # what the first row's `previous` holds
HASHES = {table.name: RowHash(table) for table in tables.CHAINED}
_SALT_BYTES = 16

Row = Mapping[str, Any]


class Writing:
    """Rows being added to a station's chain inside one transaction.

    `finish` writes the chain's new head; without it the transaction must not be committed.
    """

    def __init__(
        self, connection: Connection, station: str, now: datetime, actor: str, vault: Vault
    ) -> None:
        self.connection = connection
        self.now = now
        self.actor = actor
        self.station = station
        self._vault = vault
        self._at = when(now)
        head = connection.execute(select(tables.head).where(tables.head.c.station == station))
        row = head.mappings().one_or_none()
        self._begun = row is not None
        self._number: int = row["number"] if row else 0
        self._hash: bytes = row["hash"] if row else START
        self._first = self._number
        self._tick = 0
        self.catch_up()
        if row is not None and self._at < row["at"]:
            self._tell_clock(row["at"])

    def catch_up(self) -> None:
        """Let what is added from now on come after everything the store has seen."""
        seen: int | None = self.connection.scalar(select(func.max(tables.head.c.tick)))
        self._tick = max(self._tick, seen or 0)

    def _tell_clock(self, last: str) -> None:
        text = f"the clock stood at {self._at}, before the row that was written at {last}"
        self.add(tables.incident, kind="clock set back", text=text)

    def add(self, table: Table, content: tuple[Text, bytes] | None = None, **values: object) -> Row:
        """Add one row, and its personal content where it has some; returns the whole row."""
        return self.add_many(table, [values], None if content is None else [content])[0]

    def add_many(
        self,
        table: Table,
        rows: Iterable[Mapping[str, object]],
        contents: Iterable[tuple[Text, bytes]] | None = None,
    ) -> list[Row]:
        """Add rows to one table, in this order; with `contents`, one for each."""
        made: list[Row] = []
        kept: list[Row] = []
        private = iter(contents) if contents is not None else None
        for values in rows:
            full = self._next(values)
            if private is not None:
                full["digest"] = self._keep(str(full["id"]), *next(private), kept)
            full["hash"] = self._hash = HASHES[table.name].of(full)
            made.append(full)
        if made:
            self.connection.execute(insert(table), made)
        if kept:
            self.connection.execute(insert(tables.content), kept)
        return made

    def _next(self, values: Mapping[str, object]) -> dict[str, Any]:
        self._number += 1
        self._tick += 1
        return {
            "id": f"{self.station}-{self._number}",
            "station": self.station,
            "number": self._number,
            "tick": self._tick,
            "at": self._at,
            "actor": self.actor,
            **values,
            "previous": self._hash,
        }

    def _keep(self, row: str, kind: Text, clear: bytes, kept: list[Row]) -> bytes:
        salt = os.urandom(_SALT_BYTES)
        body = self._vault.seal(row, clear)
        kept.append(
            {"id": row, "kind": kind, "salt": salt, "key": self._vault.key_id, "body": body}
        )
        return salted_digest(salt, kind, self._vault.key_id, body)

    @property
    def head(self) -> Head:
        """The chain's end with what has been added so far."""
        return Head(self.station, self._number, self._hash.hex())

    def finish(self) -> None:
        """Write down the new head, when anything was added."""
        if self._number == self._first:
            return
        values = {
            "number": self._number, "tick": self._tick, "at": self._at, "hash": self._hash,
        }  # fmt: skip
        if self._begun:
            mine = tables.head.c.station == self.station
            self.connection.execute(update(tables.head).where(mine).values(**values))
        else:
            self.connection.execute(insert(tables.head).values(station=self.station, **values))


def heads(connection: Connection) -> tuple[Head, ...]:
    """The end of every station's chain, by station."""
    rows = connection.execute(select(tables.head)).mappings()
    found = (Head(row["station"], row["number"], row["hash"].hex()) for row in rows)
    return tuple(sorted(found, key=lambda head: head.station))


def recorded(row: Row) -> datetime:
    """When the row was written, by its station's clock."""
    return time_of(row["at"])
