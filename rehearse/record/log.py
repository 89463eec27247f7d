"""The lines of a take's log: one JSON object each, written whole or not at all, read with care."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from rehearse import events
from rehearse.errors import StoreError
from rehearse.events import Event
from rehearse.record.place import cannot_write, create_private

_KNOWN = frozenset(kind.__name__ for kind in events.Event.__args__)


class Log:
    """An append-only file of JSON lines, each on the disk before `append` returns."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._file = create_private(path)
        self._end = 0

    def append(self, row: dict[str, Any]) -> None:
        """Add one line.

        Raises:
            StoreError: it could not be written; the lines before it are untouched.
            ValueError: a number in it is not finite.
        """
        # What UTF-8 cannot hold (half a surrogate pair) becomes the escape JSON has for it.
        text = json.dumps(row, ensure_ascii=False, allow_nan=False, default=_plain)
        line = (text + "\n").encode("utf-8", "backslashreplace")
        try:
            done = 0
            while done < len(line):
                done += os.pwrite(self._file, line[done:], self._end + done)
            os.fsync(self._file)
        except OSError as error:
            # Half a line would spoil the next one, should there be room again.
            os.ftruncate(self._file, self._end)
            raise cannot_write(self._path, error) from error
        self._end += len(line)

    def close(self) -> None:
        """Close the file. Doing it twice does no harm."""
        if self._file >= 0:
            os.close(self._file)
            self._file = -1


def _plain(value: object) -> object:
    """A number of numpy's as Python's own."""
    if isinstance(value, np.generic):
        return value.item()
    raise TypeError(f"{type(value).__name__} cannot be written to a log")


@dataclass(frozen=True)
class Rows:
    """What a log holds: its objects with their line numbers, and whether its last line is torn."""

    rows: tuple[tuple[int, dict[str, Any]], ...]
    torn: bool


def read_rows(path: Path) -> Rows:
    """All objects of a log; a last line that was cut short is passed over.

    Raises:
        StoreError: the file cannot be read, or a line before the last is no JSON object.
    """
    try:
        lines = path.read_bytes().split(b"\n")
    except OSError as error:
        raise StoreError(f"{path}: cannot be read ({error.strerror}); is this a take?") from error
    if not lines[-1]:
        lines.pop()
    rows: list[tuple[int, dict[str, Any]]] = []
    for number, line in enumerate(lines, 1):
        try:
            row = json.loads(line.decode("utf-8", "surrogatepass"))
        except ValueError as error:
            if number == len(lines):
                return Rows(tuple(rows), torn=True)
            raise StoreError(_spoilt(path, number, "this is not JSON")) from error
        if not isinstance(row, dict):
            raise StoreError(_spoilt(path, number, "this is not a JSON object"))
        rows.append((number, row))
    return Rows(tuple(rows), torn=False)


def read_events(path: Path, rows: Sequence[tuple[int, dict[str, Any]]]) -> tuple[Event, ...]:
    """The events among the rows of a log; kinds that only a newer tool knows are left out.

    Raises:
        StoreError: an event of a known kind lacks a field, or one holds something else than it
            should.
    """
    found: list[Event] = []
    for number, row in rows:
        if row.get("event") not in _KNOWN:
            continue
        try:
            event = events.from_json(row)
            _check(event)
        except (TypeError, ValueError, AttributeError) as error:
            raise StoreError(_spoilt(path, number, str(error))) from error
        found.append(event)
    return tuple(found)


def _check(value: object) -> None:
    """Raise ValueError where a field holds another type than it says, or no finite number."""
    for field in fields(value):  # type: ignore[arg-type]
        held = getattr(value, field.name)
        parts = held if isinstance(held, tuple) else (held,)
        for part in parts:
            if is_dataclass(part):
                _check(part)
            elif not _fits(part, str(field.type)):
                raise ValueError(f"{field.name}: {part!r} is not a {field.type}")


def _fits(held: object, wanted: str) -> bool:
    if held is None:
        return "None" in wanted
    if isinstance(held, bool):
        return wanted == "bool"
    if isinstance(held, int | float):
        whole = isinstance(held, int)
        return math.isfinite(held) and ("float" in wanted or (whole and "int" in wanted))
    return isinstance(held, str) and "str" in wanted


def _spoilt(path: Path, number: int, fault: str) -> str:
    return (
        f"{path}:{number}: {fault}; the log was changed after it was written, "
        "restore it from a copy"
    )
