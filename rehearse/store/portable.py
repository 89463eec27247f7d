"""A store as a text file: JSON Lines that any database can be filled from, readable in 30 years.

The first line is a header with the format's number and the safety notice. Every further line is
one row, `{"table": ..., column: value ...}`, bytes as hexadecimal. Rows come in an order in which
they can be added, each row's personal content right after it, the heads last.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from rehearse.errors import StoreError
from rehearse.record.place import cannot_write, create_private
from rehearse.safety import NOTICE
from rehearse.store import tables
from rehearse.store.canonical import to_text
from rehearse.store.chain import Row
from rehearse.store.copying import contents_of, rows_of

FORMAT = 1
_WHAT = "rehearse records"
_BY_NAME = {table.name: table for table in (*tables.CHAINED, tables.content, tables.head)}


def plain(row: Row) -> dict[str, object]:
    """A row as JSON-ready values: bytes as hexadecimal."""
    return {name: value.hex() if isinstance(value, bytes) else value for name, value in row.items()}


def write(connection: Connection, path: Path) -> None:
    """Write everything in the store to a new file that only its owner may read.

    Raises:
        StoreError: the file exists or cannot be written; what was begun is removed.
    """
    descriptor = create_private(path)
    try:
        with open(descriptor, "w", encoding="utf-8", newline="\n") as file:  # noqa: PTH123
            header = {"format": FORMAT, "what": _WHAT, "notice": NOTICE}
            for values in (header, *_lines(connection)):
                file.write(to_text(values) + "\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        path.unlink(missing_ok=True)
        raise cannot_write(path, error) from error


def _lines(connection: Connection) -> Iterator[dict[str, object]]:
    for table, row in rows_of(connection):
        yield {"table": table.name, **plain(row)}
        if table in tables.WITH_CONTENT:
            for content in contents_of(connection, [row["id"]]):
                yield {"table": "content", **plain(content)}
    for head in connection.execute(select(tables.head)).mappings():
        yield {"table": "head", **plain(dict(head))}


def is_portable(path: Path) -> bool:
    """Whether the file begins as `write` begins one."""
    try:
        with path.open("rb") as file:
            return file.read(1) == b"{"
    except OSError as error:
        raise StoreError(f"{path}: cannot be read ({error.strerror})") from error


def read_into(connection: Connection, path: Path) -> None:
    """Add every row of a portable file to an empty store; the caller verifies it.

    Raises:
        StoreError: it cannot be read, or is not complete; the line is named.
    """
    header: dict[str, Any] | None = None
    whole = False
    for number, values in _read(path):
        if header is None:
            header = values
            if values.get("what") != _WHAT or values.get("format") != FORMAT:
                raise StoreError(f"{path}:1: this is no backup that this version can read")
            continue
        table = _BY_NAME.get(str(values.pop("table", "")))
        if table is None or not _is_row(values, table):
            raise StoreError(f"{path}:{number}: no row of a record store; restore another backup")
        connection.execute(insert(table), _typed(path, number, table, values))
        whole = whole or table is tables.head
    if not whole:
        raise StoreError(f"{path}: ends before its end was written; restore another backup")


def _is_row(values: Mapping[str, Any], table: Table) -> bool:
    """Whether these are a row's columns; an older version wrote none of those that came later."""
    lacking = set(table.c.keys()) - set(values)
    return set(values) <= set(table.c.keys()) and all(table.c[name].nullable for name in lacking)


def _read(path: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    try:
        with path.open(encoding="utf-8") as file:
            for number, line in enumerate(file, start=1):
                values = json.loads(line)
                if not isinstance(values, dict):
                    raise StoreError(f"{path}:{number}: not an object; restore another backup")
                yield number, values
    except (ValueError, UnicodeDecodeError):
        raise StoreError(f"{path}: holds a line that is no JSON; restore another backup") from None
    except OSError as error:
        raise StoreError(f"{path}: cannot be read ({error.strerror})") from error


def _typed(path: Path, number: int, table: Table, values: Mapping[str, Any]) -> Row:
    try:
        return {
            name: bytes.fromhex(value) if table.c[name].type.python_type is bytes else value
            for name, value in values.items()
        }
    except (TypeError, ValueError):
        raise StoreError(f"{path}:{number}: bytes that are none; restore another backup") from None
