"""The command line: parses what was typed, calls the library, prints what comes back."""

from __future__ import annotations

import argparse
import os
import sys
import traceback
from collections.abc import Callable, Sequence

from rehearse import __version__
from rehearse.cli import (
    book,
    check,
    dispute,
    doctor,
    drill,
    machine,
    models,
    people,
    plan,
    practise,
    recall,
    records,
    review,
)
from rehearse.cli.common import UNUSABLE, complain
from rehearse.errors import RehearseError
from rehearse.safety import NOTICE
from rehearse.screen import ASIDE

FAMILIES = (
    practise,
    recall,
    review,
    drill,
    plan,
    check,
    dispute,
    book,
    people,
    records,
    doctor,
    models,
    machine,
)


def parser() -> argparse.ArgumentParser:
    """Everything that can be typed."""
    top = argparse.ArgumentParser(
        prog="rehearse",
        description="Say a procedure aloud; be heard, judged and corrected, offline.",
        epilog=NOTICE,
    )
    top.add_argument("--version", action="version", version=f"rehearse {__version__}")
    top.add_argument("--debug", action="store_true", help="show where an error arose")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for family in FAMILIES:
        family.add_commands(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command; the exit status."""
    options = parser().parse_args(argv)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except RehearseError as error:
        if options.debug:
            traceback.print_exception(error)
        complain(error)
        return UNUSABLE
    except KeyboardInterrupt:
        ASIDE.print("stopped")
        return UNUSABLE
    except BrokenPipeError:  # the reader of our output has gone, as `head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNUSABLE
