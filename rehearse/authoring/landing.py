"""New files put into a folder: all of them or none, and nothing overwritten unasked."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from rehearse.book import reader
from rehearse.errors import AuthoringError


def land(folder: Path, texts: Mapping[str, str], *, replace: bool = False) -> list[Path]:
    """Write procedure files of these names into the folder, which is made when there is none.

    Each is read back as a procedure before any is put in its place.

    Raises:
        AuthoringError: a file is there already and is not to be replaced, or the folder cannot be
            written. Nothing was changed.
        BookError: a text is no valid procedure. Nothing was changed.
    """
    there = [name for name in texts if (folder / name).exists()]
    if there and not replace:
        listed = ", ".join(there[:5]) + (f" and {len(there) - 5} more" if len(there) > 5 else "")
        raise AuthoringError(
            f"{folder}: there already: {listed}; name another folder, or add --replace"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        within = Path(tempfile.mkdtemp(prefix=".new-", dir=folder))
    except OSError as error:
        raise _unwritable(folder, error) from error
    try:
        for name, text in texts.items():
            (within / name).write_text(text, "utf-8")
            reader.read(within / name)
        return [(within / name).replace(folder / name) for name in texts]
    except OSError as error:
        raise _unwritable(folder, error) from error
    finally:
        shutil.rmtree(within, ignore_errors=True)


def _unwritable(folder: Path, error: OSError) -> AuthoringError:
    reason = error.strerror or str(error)
    return AuthoringError(f"{folder}: cannot be written ({reason}); name another folder")
