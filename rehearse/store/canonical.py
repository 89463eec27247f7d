"""One text for one value: canonical JSON, times and hashes that every station makes alike."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
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
    an object of the table's name and every column that is not empty (NULL), bytes as hexadecimal;
    `hash` itself and `previous`, which comes first in binary, are left out.
    """

    def __init__(self, table: Table) -> None:
        self.columns = tuple(column.name for column in table.columns)
        binary = {c.name for c in table.columns if c.type.python_type is bytes}
        names = [*(set(self.columns) - {"previous", "hash"}), "table"]
        self._table = table.name
        self._previous = self.columns.index("previous")
        # Sorted here once, so that no row has to be: the place of each name in a row of values.
        self._places = tuple(
            (name, -1 if name == "table" else self.columns.index(name)) for name in sorted(names)
        )
        self._binary = tuple(sorted(binary - {"previous", "hash"}))

    def of(self, row: Mapping[str, Any]) -> bytes:
        """The row's hash from its values by column name; 32 bytes."""
        return self.of_values([row.get(name) for name in self.columns])

    def of_values(self, row: Sequence[Any]) -> bytes:
        """The row's hash from its values in the order of `columns`; 32 bytes.

        Raises:
            TypeError, ValueError, AttributeError: a value is of no kind that was ever written.
        """
        values = (*row, self._table)
        body = {name: value for name, at in self._places if (value := values[at]) is not None}
        for name in self._binary:
            body[name] = body[name].hex()
        return hashlib.sha256(row[self._previous] + _encode_sorted(body).encode()).digest()


def salted_digest(salt: bytes, kind: str, key: str, body: bytes) -> bytes:
    """What the chain keeps of a personal content; 32 bytes."""
    return hashlib.sha256(salt + f"{kind}\n{key}\n".encode() + body).digest()
