"""One text for one value: canonical JSON, times and hashes that every station makes alike."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from json.encoder import encode_basestring
from operator import itemgetter
from typing import Any

from sqlalchemy import Table

from rehearse.store.mishaps import NotAcceptedError

_encode = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True
).encode
_encode_sorted = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode
_decode = json.JSONDecoder().decode


def to_text(value: object) -> str:
    """Canonical JSON: sorted keys, no spaces, no NaN, real characters.

    Raises:
        NotAcceptedError: the value holds something that JSON cannot.
    """
    try:
        text = _encode(value)
        text.encode()
    except (TypeError, ValueError) as error:
        raise NotAcceptedError(f"a value that no record can hold ({error}); leave it out") from None
    return text


def from_text(text: str) -> Any:  # noqa: ANN401 - JSON is what it is
    """The value of a JSON text."""
    return _decode(text)


def when(time: datetime) -> str:
    """An aware time as UTC text of one width, such as 2026-10-01T08:15:30.000000Z.

    Raises:
        NotAcceptedError: the time has no zone.
    """
    if time.tzinfo is None:
        raise NotAcceptedError(f"{time.isoformat()}: a time needs its zone, such as +00:00")
    return time.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ").rjust(27, "0")


def time_of(text: str) -> datetime:
    """The time in a text that `when` made."""
    return datetime.fromisoformat(text)


class RowHash:
    """Hashes the rows of one table.

    The hash of a row is SHA-256 over the previous row's hash and the canonical JSON of the row:
    an object of the table's name, as `_`, and every column that is not empty (NULL), bytes as
    hexadecimal; `hash` itself and `previous`, which comes first in binary, are left out. The JSON
    is put together here, because a general encoder takes longer (tests compare it with one).
    """

    def __init__(self, table: Table) -> None:
        self.columns = tuple(column.name for column in table.columns)
        self._previous = self.columns.index("previous")
        self._start = f'{{"_":"{table.name}",'
        names = sorted(set(self.columns) - {"previous", "hash"})
        self._names = tuple(f'"{name}":' for name in names)
        self._ways = tuple(_WAYS[table.c[name].type.python_type] for name in names)
        self._values = itemgetter(*(self.columns.index(name) for name in names))

    def of(self, row: Mapping[str, Any]) -> bytes:
        """The row's hash from its values by column name; 32 bytes."""
        return self.of_values([row.get(name) for name in self.columns])

    def of_values(self, row: Sequence[Any]) -> bytes:
        """The row's hash from its values in the order of `columns`; 32 bytes.

        Raises:
            TypeError, ValueError, AttributeError: a value is of no kind that was ever written.
        """
        return hashlib.sha256(row[self._previous] + self.json(row).encode()).digest()

    def json(self, row: Sequence[Any]) -> str:
        """The canonical JSON that is hashed."""
        values = zip(self._names, self._ways, self._values(row), strict=True)
        parts = [name + way(value) for name, way, value in values if value is not None]
        return self._start + ",".join(parts) + "}"


def _hexadecimal(value: bytes) -> str:
    return f'"{bytes.hex(value)}"'


_WAYS: dict[type, Callable[[Any], str]] = {
    str: encode_basestring,
    int: int.__repr__,
    bytes: _hexadecimal,
}


def salted_digest(salt: bytes, kind: str, key: str, body: bytes) -> bytes:
    """What the chain keeps of a personal content; 32 bytes."""
    return hashlib.sha256(salt + f"{kind}\n{key}\n".encode() + body).digest()
