"""What the store holds about somebody: every chained row, and everyone who had to do with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Select, or_, select

from rehearse.store import tables
from rehearse.store.chain import Row

_OTHERS = ("actor", "examiner", "teacher")  # columns that name whoever dealt with the person


def about(connection: Connection, people: frozenset[str]) -> Iterator[tuple[Any, list[Row]]]:
    """Every table with its rows about these people."""
    result = tables.result.c
    own = select(result.id).where(result.person.in_(people))
    for table in tables.CHAINED:
        wanted: Select[Any] = select(table).order_by(table.c.tick)
        if "person" in table.c:
            same = [table.c.same_as.in_(people)] if "same_as" in table.c else []
            wanted = wanted.where(or_(table.c.person.in_(people), *same))
        elif "result" in table.c:
            wanted = wanted.where(table.c.result.in_(own))
        elif table is tables.retraining_closed:
            mine = select(tables.retraining.c.id).where(tables.retraining.c.person.in_(people))
            wanted = wanted.where(table.c.retraining.in_(mine))
        elif table is tables.signature:
            seals = select(tables.seal.c.signature).where(tables.seal.c.result.in_(own))
            wanted = wanted.where(table.c.id.in_(seals))
        else:
            continue
        yield table, [dict(row) for row in connection.execute(wanted).mappings()]


def dealt_with(connection: Connection, people: frozenset[str]) -> frozenset[str]:
    """Ids of everyone who examined, taught, marked, signed or read what is about these people."""
    rows = (row for _, found in about(connection, people) for row in found)
    return frozenset(row[name] for row in rows for name in _OTHERS if row.get(name))
