"""Memory of the whole process, as glibc hands it out; elsewhere nothing here does anything.

glibc gives each thread a pool of its own, and keeps in each what was once needed: hours of hearing
would hold 180 MB more than they need.
"""

from __future__ import annotations

import ctypes
from contextlib import suppress

_M_ARENA_MAX = -8
_POOLS = 2


def share_pools() -> None:
    """Few pools for all threads; to be called before the first thread begins."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).mallopt(_M_ARENA_MAX, _POOLS)


def give_back() -> None:
    """Gives back to the system what is no longer needed, as at the end of a take."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).malloc_trim(0)
