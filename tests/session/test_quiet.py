"""What sound libraries print to stderr is dropped, what we print is not."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def stderr_of(code: str) -> str:
    """What a program with this code leaves on its stderr."""
    done = subprocess.run(
        [sys.executable, "-c", f"import os, sys\nfrom rehearse.session.quiet import *\n{code}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return done.stderr


def test_only_our_own_lines_reach_the_terminal() -> None:
    """A library writes to the descriptor itself, we to sys.stderr; afterwards all is as before."""
    told = stderr_of(
        "with libraries_quiet():\n"
        "    os.write(2, b'ALSA lib: underrun\\n')\n"
        "    print('no loudspeaker', file=sys.stderr)\n"
        "os.write(2, b'after\\n')\n"
        "print('the end', file=sys.stderr)\n"
    )
    assert told == "no loudspeaker\nafter\nthe end\n"


def test_an_error_inside_is_still_told() -> None:
    """A traceback from inside comes out whole."""
    told = stderr_of("with libraries_quiet():\n    raise ValueError('a fault of ours')\n")
    assert told.splitlines()[-1] == "ValueError: a fault of ours"


def test_a_stderr_that_is_no_file_is_left_alone() -> None:
    """Where sys.stderr was replaced, only the descriptor is quiet."""
    told = stderr_of(
        "import io\n"
        "sys.stderr = told = io.StringIO()\n"
        "with libraries_quiet():\n"
        "    os.write(2, b'ALSA lib: underrun\\n')\n"
        "    print('ours', file=sys.stderr)\n"
        "os.write(2, told.getvalue().encode())\n"
    )
    assert told == "ours\n"
