"""Memory of the process: few pools for all threads, and what is given back."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

_POOLS = """
import ctypes, os, threading
import rehearse
together = threading.Barrier(8)
def work():
    together.wait()
    held = [bytes(50_000) for _ in range(200)]
    together.wait()
threads = [threading.Thread(target=work) for _ in range(8)]
for thread in threads: thread.start()
for thread in threads: thread.join()
libc = ctypes.CDLL(None)
libc.fdopen.restype = ctypes.c_void_p
stream = ctypes.c_void_p(libc.fdopen(os.dup(1), b"w"))
libc.malloc_info(0, stream)
libc.fclose(stream)
"""

_GIVEN_BACK = """
from pathlib import Path
from rehearse.memory import give_back
def pages(): return int(Path("/proc/self/statm").read_text().split()[1])
held = [bytes(100_000) for _ in range(2000)]
last = bytes(100_000)
full = pages()
del held
kept = pages()
give_back()
print(full, kept, pages())
"""


def _printed(program: str) -> str:
    if not sys.platform.startswith("linux"):
        pytest.skip("glibc's memory is looked at")
    return subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True
    ).stdout


def test_threads_share_two_pools() -> None:
    """Eight threads that need memory at once would have a pool each."""
    assert len(re.findall(r"<heap nr=", _printed(_POOLS))) == 2


def test_what_is_no_longer_needed_goes_back() -> None:
    """Memory that was freed below something still in use stays with the process until then."""
    full, kept, after = map(int, _printed(_GIVEN_BACK).split())
    assert kept > 0.9 * full
    assert after < 0.5 * full
