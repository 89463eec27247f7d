"""What every family of commands shares: how commands are declared, complain and end."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import TypeAlias

from rehearse.errors import RehearseError

Told = Callable[[str], None]
Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"  # noqa: SLF001
PASSED, NOT_PASSED, UNUSABLE = 0, 1, 2


def add(commands: Commands, name: str, text: str) -> argparse.ArgumentParser:
    """A command or subcommand; its sentence, ended by a full stop, explains it."""
    return commands.add_parser(name, help=text[0].lower() + text[1:-1], description=text)


def add_procedure(command: argparse.ArgumentParser, nargs: str | None = None) -> None:
    """The procedure that a command is about."""
    command.add_argument(
        "procedure", nargs=nargs, help="a procedure file, or an id that 'book list' shows"
    )


def complain(error: RehearseError | str) -> None:
    """One line on the error stream for each fault."""
    for line in str(error).splitlines():
        print(f"rehearse: {line}", file=sys.stderr)
