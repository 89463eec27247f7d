"""Reports on disk: names that are safe on every system, files that only their owner may read."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
import unicodedata
from datetime import date
from pathlib import Path

from rehearse.errors import RehearseError

_LONGEST = 120  # bytes of the part of a name that a person chose; systems allow 255 in all


class SaveError(RehearseError):
    """A report that cannot be written."""


def file_name(kind: str, subject: str, on: date, ending: str) -> str:
    """A name such as "training-record-F1042-2026-11-25.pdf".

    Letters and digits of any script stay; all else, path parts and quotes too, becomes a hyphen.
    """
    return f"{_safe(kind)}-{_safe(subject)}-{on.isoformat()}.{_safe(ending)}"


def _safe(text: str) -> str:
    composed = unicodedata.normalize("NFC", text).encode("utf-8", "ignore").decode()
    hyphened = re.sub(r"[\W_]+", "-", composed).strip("-")
    short = hyphened.encode()[:_LONGEST].decode("utf-8", "ignore")
    return short or "unnamed"


def save(path: Path, content: bytes) -> None:
    """The content as a new file, whole or not at all, readable by its owner only.

    Raises:
        SaveError: there is a file already, or it cannot be written.
    """
    if path.exists():
        raise SaveError(f"{path}: there already; choose another name or move it away")
    try:
        handle, name = tempfile.mkstemp(prefix=".rehearse-", dir=path.parent)  # owner only
    except OSError as error:
        raise _cannot(path, error) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise _cannot(path, error) from error


def _cannot(path: Path, error: OSError) -> SaveError:
    reason = (error.strerror or str(error)).lower()
    return SaveError(f"{path}: cannot be written, {reason}; choose another folder")
