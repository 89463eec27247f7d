"""The first line of a log: what was taken, as values of its own kind of header."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from rehearse.errors import StoreError

H = TypeVar("H")


def row_of(header: Mapping[str, Any], form: int) -> dict[str, Any]:
    """The fields of a header as a JSON-ready row.

    form: raised only when an older tool could misread the log.
    """
    started = header["started"].isoformat(timespec="milliseconds")
    rest = {name: value for name, value in header.items() if name != "id"}
    return {"format": form, "take": header["id"], **rest, "started": started}


def header_in(
    path: Path, row: Mapping[str, Any], form: int, made: Callable[[Mapping[str, Any]], H]
) -> H:
    """The header that `row_of` wrote as the first row of the log at `path`.

    form: the newest that can be read. made: makes it of the row.

    Raises:
        StoreError: the row is no header, a newer one, or not complete.
    """
    written = row.get("format")
    if not isinstance(written, int) or "event" in row:
        raise StoreError(f"{path}:1: the header is missing; restore the log from a copy")
    if written > form:
        raise StoreError(
            f"{path}:1: format {written} was written by rehearse {row.get('tool')}, which is "
            "newer; update rehearse to read this take"
        )
    try:
        return made(row)
    except (KeyError, TypeError, ValueError) as error:
        raise StoreError(
            f"{path}:1: the header is not complete ({error}); restore the log from a copy"
        ) from error
