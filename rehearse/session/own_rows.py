"""A small file of the user's own: rows found again by their keys, such as a person and a device."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platformdirs import user_data_path

from rehearse.errors import StoreError
from rehearse.record.place import cannot_write

Row = dict[str, Any]


def own_file(name: str) -> Path:
    """A file of that name in the user's own data folder."""
    return user_data_path("rehearse", appauthor=False) / name


@dataclass(frozen=True)
class OwnRows:
    """One such file, for its owner only.

    keys: the keys by which a row is known. what: what it holds, with what to do when it is
        damaged, as "calm baselines; read in again with ...".
    """

    path: Path
    keys: tuple[str, ...]
    what: str

    def find(self, *values: str) -> Row | None:
        """The row with these values of its keys. Raises StoreError when the file is damaged."""
        for row in self._rows():
            if self._known_by(row) == values:
                return row
        return None

    def put(self, row: Row) -> None:
        """Keeps a row in place of an earlier one with the same keys.

        Raises:
            StoreError: the file is damaged or cannot be written.
        """
        rows = [each for each in self._rows() if self._known_by(each) != self._known_by(row)]
        new = self.path.with_suffix(".new")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            with os.fdopen(os.open(new, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "w") as out:
                json.dump([*rows, row], out, indent=1)
            new.replace(self.path)
        except OSError as error:
            raise cannot_write(self.path, error) from error

    def damaged(self) -> StoreError:
        """The one line for a file that cannot be used."""
        what, _, mend = self.what.partition("; ")
        return StoreError(f"{self.path}: holds no {what} that can be read; delete it and {mend}")

    def _known_by(self, row: Row) -> tuple[str, ...]:
        return tuple(str(row[key]) for key in self.keys)

    def _rows(self) -> list[Row]:
        try:
            rows = json.loads(self.path.read_text("utf-8"))
        except FileNotFoundError:
            return []
        except ValueError as error:
            raise self.damaged() from error
        except OSError as error:
            fault = f"cannot be read ({error.strerror}); make it readable"
            raise StoreError(f"{self.path}: {fault}") from error
        whole = isinstance(rows, list) and all(
            isinstance(row, dict) and row.keys() >= set(self.keys) for row in rows
        )
        if not whole:
            raise self.damaged()
        return list(rows)
