"""Sound libraries print to the terminal what is no concern of the trainee's; here they do not.

ALSA, PortAudio and sound servers write lines of their own to the process's stderr whenever a
device is missing or late, between the lines that a person is to read.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

_STDERR = 2


@contextmanager
def libraries_quiet() -> Iterator[None]:
    """What libraries in C print to stderr is dropped; `sys.stderr` still reaches the terminal."""
    before = sys.stderr
    ours = _is_stderr(before)
    kept = os.dup(_STDERR)
    if ours:
        before.flush()
        sys.stderr = os.fdopen(os.dup(_STDERR), "w", 1, before.encoding, before.errors)
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123  (a device, no path)
        os.dup2(nowhere.fileno(), _STDERR)
    try:
        yield
    finally:
        os.dup2(kept, _STDERR)
        os.close(kept)
        if ours:
            sys.stderr.close()
            sys.stderr = before


def _is_stderr(stream: TextIO) -> bool:
    try:
        return stream.fileno() == _STDERR
    except (OSError, ValueError, AttributeError):
        return False
