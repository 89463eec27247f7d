"""Rows carried from one store into another, as they are: whole chains, or what is new of them."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby, islice

from sqlalchemy import Connection, Table, delete, insert, select, update

from rehearse.store import tables
from rehearse.store.chain import Row
from rehearse.store.mishaps import DamagedError
from rehearse.store.verify import verify

_AT_ONCE = 1000
_BY_NAME = {table.name: table for table in tables.CHAINED}

Carried = tuple[Table, Row]


def rows_of(connection: Connection, after: Mapping[str, int] | None = None) -> Iterator[Carried]:
    """Every chained row with a number above `after` its station, in an order that can be kept.

    By tick: what a row refers to was there before it, and so comes first.
    """
    known = after or {}

    def stream(place: int, table: Table) -> Iterator[tuple[int, int, str, Row]]:
        wanted = select(table).order_by(table.c.tick)
        rows = connection.execute(wanted, execution_options={"yield_per": _AT_ONCE})
        for row in rows.mappings():
            if row["number"] > known.get(row["station"], 0):
                yield row["tick"], place, row["id"], dict(row)

    streams = [stream(place, table) for place, table in enumerate(tables.CHAINED)]
    for _tick, place, _id, row in heapq.merge(*streams, key=lambda found: found[:3]):
        yield tables.CHAINED[place], row


def contents_of(connection: Connection, rows: Iterable[str]) -> list[Row]:
    """The personal contents of these rows that are still kept."""
    wanted = select(tables.content).where(tables.content.c.id.in_(list(rows)))
    return [dict(row) for row in connection.execute(wanted).mappings()]


def insert_rows(target: Connection, carried: Iterable[Carried], source: Connection) -> None:
    """Add carried rows, and the contents that the source keeps for them."""
    for table_name, group in groupby(carried, key=lambda found: found[0].name):
        table = _BY_NAME[table_name]
        rows = (row for _, row in group)
        while some := list(islice(rows, _AT_ONCE)):
            target.execute(insert(table), some)
            if table in tables.WITH_CONTENT:
                kept = contents_of(source, [row["id"] for row in some])
                if kept:
                    target.execute(insert(tables.content), kept)


def take_heads(target: Connection, source: Connection) -> None:
    """Move the target's heads on to the source's where those are further."""
    mine = {row["station"]: row for row in target.execute(select(tables.head)).mappings()}
    for row in source.execute(select(tables.head)).mappings():
        station = row["station"]
        if station not in mine:
            target.execute(insert(tables.head).values(**row))
        elif row["number"] > mine[station]["number"]:
            here = tables.head.c.station == station
            target.execute(update(tables.head).where(here).values(**row))


def drop_erased(target: Connection) -> int:
    """Let go of contents that an erasure made elsewhere names; returns how many."""
    erased = select(tables.erasure.c.content)
    gone = target.execute(delete(tables.content).where(tables.content.c.id.in_(erased)))
    return gone.rowcount


def must_be_sound(connection: Connection, name: str) -> None:
    """Refuse a store whose chain is broken.

    Raises:
        DamagedError: the line names the first bad row.
    """
    found = verify(connection)
    if found.fault is not None:
        raise DamagedError(f"{name}: {found.fault}; nothing was taken from it")
