"""The arrays in a CTranslate2 model file, by name.

The format is that of CTranslate2's own converters, version 6: a header, each variable's name,
shape, type and bytes, then the names that stand for another variable; all little-endian.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from mmap import ACCESS_READ, mmap
from pathlib import Path

import numpy as np
import numpy.typing as npt

from rehearse.errors import ModelError

Array = npt.NDArray[np.float32]

_VERSION = 6
_ALL = slice(None)
_TYPES = {0: np.float32, 1: np.int8, 2: np.int16, 3: np.int32, 4: np.float16}


@dataclass(frozen=True)
class Variables:
    """What a model file holds, as it is stored: weights may be whole numbers with a scale."""

    stored: Mapping[str, npt.NDArray[np.generic]]

    def plain(self, name: str) -> Array:
        """A bias, a norm or a table, in its own shape."""
        return self.stored[name].astype(np.float32)

    def counted(
        self, name: str, rows: slice | npt.NDArray[np.int64] = _ALL
    ) -> tuple[npt.NDArray[np.int8], Array]:
        """A layer's weights as whole numbers, shape (width out, width in), and each row's scale.

        A weight is its number over its row's scale. rows: only these.
        """
        weight, scale = (
            self.stored[f"{name}/weight"][rows],
            self.stored[f"{name}/weight_scale"][rows],
        )
        return weight.astype(np.int8), scale.astype(np.float32)

    def weight(self, name: str, rows: npt.NDArray[np.int64]) -> Array:
        """Some rows of a layer's weights."""
        weight, scale = self.counted(name, rows)
        return weight.astype(np.float32) / scale[:, None]

    def number(self, name: str) -> int:
        """A setting of the model."""
        return int(self.stored[name].astype(np.int64).item())


def variables(path: Path) -> Variables:
    """Everything in a model file.

    Raises:
        ModelError: it cannot be read, or is of another format.
    """
    try:
        with path.open("rb") as file:
            return Variables(_read(memoryview(mmap(file.fileno(), 0, access=ACCESS_READ))))
    except (OSError, struct.error, KeyError, ValueError) as error:
        raise ModelError(
            f"{path}: not a CTranslate2 model of version {_VERSION} ({error}); copy it there again"
        ) from error


class _Cursor:
    def __init__(self, content: memoryview) -> None:
        self._content = content
        self._at = 0

    def number(self, kind: str) -> int:
        (value,) = struct.unpack_from("<" + kind, self._content, self._at)
        self._at += struct.calcsize("<" + kind)
        return int(value)

    def text(self) -> str:
        return bytes(self.bytes(self.number("H"))).rstrip(b"\0").decode()

    def bytes(self, count: int) -> memoryview:
        found = self._content[self._at : self._at + count]
        if len(found) < count:
            raise ValueError("it breaks off")
        self._at += count
        return found


def _read(content: memoryview) -> dict[str, npt.NDArray[np.generic]]:
    cursor = _Cursor(content)
    version = cursor.number("I")
    if version != _VERSION:
        raise ValueError(f"version {version}")
    cursor.text()  # what kind of model it is
    cursor.number("I")  # and its revision
    found: dict[str, npt.NDArray[np.generic]] = {}
    for _ in range(cursor.number("I")):
        name = cursor.text()
        shape = [cursor.number("I") for _ in range(cursor.number("B"))]
        kind = _TYPES[cursor.number("B")]
        found[name] = np.frombuffer(cursor.bytes(cursor.number("I")), kind).reshape(shape)
    for _ in range(cursor.number("I")):
        alias = cursor.text()
        found[alias] = found[cursor.text()]
    return found
