"""SQLite's own door for fault injection: its writes to the disk, replaced by ones that fail.

`sqlite3_vfs.xSetSystemCall` lets a test stand between SQLite and the system. Here the n-th write
kills the process, leaves half of itself behind first, or reports a full disk from then on.
"""

from __future__ import annotations

import ctypes
import errno
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from ctypes.util import find_library
from typing import Any, Literal

Way = Literal["count", "kill", "tear", "full"]


class _Vfs(ctypes.Structure):
    _fields_ = (
        ("version", ctypes.c_int),
        ("file_size", ctypes.c_int),
        ("longest_path", ctypes.c_int),
        ("next", ctypes.c_void_p),
        ("name", ctypes.c_char_p),
        ("data", ctypes.c_void_p),
        ("calls", ctypes.c_void_p * 13),  # xOpen to xCurrentTimeInt64
        ("set_call", ctypes.c_void_p),
        ("get_call", ctypes.c_void_p),
    )


_WRITE = ctypes.CFUNCTYPE(
    ctypes.c_ssize_t,
    ctypes.c_int,
    ctypes.c_void_p,
    ctypes.c_size_t,
    ctypes.c_int64,
    use_errno=True,
)
_CUT = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_int, ctypes.c_int64, use_errno=True)
_CALLS: dict[bytes, Any] = {
    b"write": _WRITE,
    b"pwrite": _WRITE,
    b"pwrite64": _WRITE,
    b"ftruncate": _CUT,
}


class Faults:
    """Counts SQLite's writes, and does something at the n-th."""

    def __init__(self) -> None:
        self.done = 0
        self.at = 0
        self.way: Way = "count"

    def strikes(self) -> bool:
        """Whether this write fails; kills the process where that is the way."""
        self.done += 1
        if self.way == "count" or self.done < self.at:
            return False
        if self.way == "kill":
            os.kill(os.getpid(), signal.SIGKILL)
        return True


@contextmanager
def faults() -> Iterator[Faults]:
    """SQLite's writes under control while the block runs."""
    library = ctypes.CDLL(find_library("sqlite3") or "libsqlite3.so.0")
    library.sqlite3_vfs_find.restype = ctypes.POINTER(_Vfs)
    vfs = library.sqlite3_vfs_find(None)
    get = ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_void_p, ctypes.c_char_p)(vfs.contents.get_call)
    put = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_char_p, ctypes.c_void_p)(
        vfs.contents.set_call
    )
    state = Faults()
    kept: list[Any] = []
    for name, kind in _CALLS.items():
        address = get(vfs, name)
        if address:
            replaced = kind(_replacement(state, kind(address)))
            kept.append(replaced)
            put(vfs, name, ctypes.cast(replaced, ctypes.c_void_p))
    try:
        yield state
    finally:
        for name in _CALLS:
            put(vfs, name, None)


def _replacement(state: Faults, real: Any) -> Any:  # noqa: ANN401 - foreign functions
    def call(file: int, *rest: int) -> int:
        if state.strikes():
            if state.way == "tear" and len(rest) == 3:
                real(file, rest[0], rest[1] // 2, rest[2])
            if state.way == "tear":
                os.kill(os.getpid(), signal.SIGKILL)
            ctypes.set_errno(errno.ENOSPC)
            return -1
        answer: int = real(file, *rest)
        return answer

    return call
