"""Where takes are kept, and files in it that only their owner may read."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from platformdirs import user_data_path

from rehearse.errors import StoreError


def takes_folder() -> Path:
    """The folder takes are kept in unless another is named: the user's own data folder."""
    return user_data_path("rehearse", appauthor=False) / "takes"


def new_folder(parent: Path, started: datetime, procedure: str) -> Path:
    """A new folder for one take, named by its start in UTC and its procedure, owner only.

    Two takes of the same second get different folders, also when two programs make them.

    Raises:
        StoreError: the folder cannot be made.
    """
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", procedure)[:80]
    name = f"{started.astimezone(UTC):%Y-%m-%d-%H%M%S}-{safe}"
    try:
        if not parent.exists():
            parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        for attempt in count(1):
            folder = parent / (name if attempt == 1 else f"{name}-{attempt}")
            try:
                folder.mkdir(mode=0o700)
            except FileExistsError:
                continue
            return folder
    except OSError as error:
        raise cannot_write(parent, error) from error
    raise AssertionError("unreachable: counting has no end")


def create_private(path: Path) -> int:
    """A descriptor of a new file that only its owner may read and write.

    Raises:
        StoreError: the file exists already or cannot be made.
    """
    flags = os.O_CREAT | os.O_EXCL | os.O_RDWR | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(path, flags, 0o600)
    except OSError as error:
        raise cannot_write(path, error) from error


def cannot_write(path: Path, error: BaseException) -> StoreError:
    """The one line for a file or folder that could not be written, and how to mend it."""
    number = error.errno if isinstance(error, OSError) else None
    if number is None and _is_full(path):
        number = errno.ENOSPC  # the sound library keeps the system's reason to itself
    match number:
        case errno.ENOSPC | errno.EDQUOT:
            mend = "the disk is full; free some space, what was written before is kept"
        case errno.EACCES | errno.EPERM | errno.EROFS:
            mend = "not writable; choose another folder for takes or change its permissions"
        case errno.ENOTDIR | errno.EEXIST:
            mend = "a file is in the way; choose another folder for takes"
        case None:
            mend = "cannot be written; check the disk or choose another folder for takes"
        case _:
            mend = f"cannot be written ({os.strerror(number)}); choose another folder for takes"
    return StoreError(f"{path}: {mend}")


def _is_full(path: Path) -> bool:
    try:
        room = os.statvfs(path)
    except OSError:
        return False
    return room.f_bavail == 0


def write_private(path: Path, content: bytes) -> None:
    """A new file with this content that only its owner may read, on the disk on return.

    Raises:
        StoreError: the file exists already or cannot be written.
    """
    file = create_private(path)
    try:
        done = 0
        while done < len(content):
            done += os.write(file, content[done:])
        os.fsync(file)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        os.close(file)


def keep_entries(folder: Path) -> None:
    """Bring the folder's own list of files to the disk, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
