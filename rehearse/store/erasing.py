"""The one way personal content goes: an erasure row in the chain first, then the content."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from sqlalchemy import Connection, delete, select

from rehearse.store import tables
from rehearse.store.chain import Writing
from rehearse.store.values import Erased, Text

TIDIED = "kept for its time"  # the reason that `tidy` gives
_AT_ONCE = 500  # rows named in one statement


def erase_rows(writing: Writing, rows: Iterable[tuple[str, Text, str]], reason: str) -> Erased:
    """Erase the contents of these rows, given as (row id, kind, person). What is gone is skipped.

    The chain keeps who erased what and why, and the digests; both still verify.
    """
    wanted = {row: (kind, person) for row, kind, person in rows}
    kept = present(writing.connection, wanted)
    writing.add_many(
        tables.erasure,
        [
            {"content": row, "kind": kind, "person": person, "reason": reason}
            for row, (kind, person) in wanted.items()
            if row in kept
        ],
    )
    drop(writing.connection, kept)
    return Erased(Counter(wanted[row][0] for row in kept))


def present(connection: Connection, rows: Iterable[str]) -> list[str]:
    """Those of the rows whose content is still there."""
    return [
        str(row)
        for some in _slices(list(rows))
        for row in connection.scalars(
            select(tables.content.c.id).where(tables.content.c.id.in_(some))
        )
    ]


def drop(connection: Connection, rows: Iterable[str]) -> None:
    """Delete contents that erasure rows name; the database refuses any other."""
    for some in _slices(list(rows)):
        connection.execute(delete(tables.content).where(tables.content.c.id.in_(some)))


def _slices(rows: list[str]) -> Iterable[list[str]]:
    return (rows[at : at + _AT_ONCE] for at in range(0, len(rows), _AT_ONCE))
