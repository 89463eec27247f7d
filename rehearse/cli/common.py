"""What every family of commands shares: how commands are declared, complain and end."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

from rehearse.errors import RehearseError
from rehearse.record.report import clean

if TYPE_CHECKING:  # the sound libraries are loaded where a device is used
    from rehearse.session.studio import Choices

Told = Callable[[str], None]
Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"  # noqa: SLF001
PASSED, NOT_PASSED, UNUSABLE = 0, 1, 2
ROLES = ("trainee", "instructor", "examiner", "administrator")


def add(commands: Commands, name: str, text: str) -> argparse.ArgumentParser:
    """A command or subcommand; its sentence, ended by a full stop, explains it."""
    return commands.add_parser(name, help=text[0].lower() + text[1:-1], description=text)


def add_procedure(command: argparse.ArgumentParser, nargs: str | None = None) -> None:
    """The procedure that a command is about."""
    command.add_argument(
        "procedure", nargs=nargs, help="a procedure file, or an id that 'book list' shows"
    )


def add_store(command: argparse.ArgumentParser) -> None:
    """Which records."""
    command.add_argument(
        "--records",
        metavar="URL",
        help="the record store: a file or a database URL; else REHEARSE_RECORDS, else your own",
    )
    command.add_argument(
        "--key", metavar="FILE", help="the operator key for names and sound; else REHEARSE_KEY"
    )


def add_acting(command: argparse.ArgumentParser) -> None:
    """Which records, and who acts on them; the PIN is asked for."""
    add_store(command)
    command.add_argument(
        "--as",
        dest="acting",
        required=True,
        metavar="STAFFNUMBER",
        help="who you are; the PIN is asked for, or taken from the input or REHEARSE_PIN",
    )
    command.add_argument(
        "--role",
        choices=ROLES,
        help="as what you act, when you have several roles",
    )


def add_programme(command: argparse.ArgumentParser) -> None:
    """Which training programme."""
    command.add_argument(
        "--programme",
        metavar="FILE",
        help="the training programme; else REHEARSE_PROGRAMME, else the shipped example",
    )


def later(place: str) -> Callable[[argparse.Namespace], int]:
    """What runs a command, written "module:function"; imported only when it is run.

    The record store and its libraries take a second to load, which `--help` need not wait for.
    """

    def run(options: argparse.Namespace) -> int:
        module, name = place.split(":")
        function: Callable[[argparse.Namespace], int] = getattr(
            importlib.import_module(f"rehearse.cli.{module}"), name
        )
        return function(options)

    run.__doc__ = place
    return run


def over_zero(most: float, fault: str) -> Callable[[str], float]:
    """What reads an option that is a number over zero, up to `most`; `fault` is told else."""

    def read(text: str) -> float:
        try:
            found = float(text)
        except ValueError:
            found = 0.0
        if not 0.0 < found <= most:
            raise argparse.ArgumentTypeError(f"{text!r} {fault}")
        return found

    return read


def at_least_one(what: str = "number") -> Callable[[str], int]:
    """What reads an option that is a whole number of one or more; `what` names it in the fault."""

    def read(text: str) -> int:
        if not text.isdecimal() or not int(text):
            raise argparse.ArgumentTypeError(f"{text!r} is not a {what}; give 1 or more")
        return int(text)

    return read


def device(name: str | None) -> int | str | None:
    """A sound device by its number or by part of its name."""
    return int(name) if name is not None and name.isdigit() else name


def devices(options: argparse.Namespace) -> Choices:
    """Microphone, loudspeaker and folder, as they were asked for."""
    from rehearse.session.studio import Choices

    return Choices(
        headset=options.headset,
        takes=options.takes,
        microphone=device(options.microphone),
        loudspeaker=device(options.loudspeaker),
    )


def say(text: str) -> None:
    """One line on the screen, without what could move a cursor or turn the reading direction."""
    print("  ".join(clean(part) for part in text.split("  ")))


def complain(error: RehearseError | str) -> None:
    """One line on the error stream for each fault."""
    for line in str(error).splitlines():
        print(f"rehearse: {line}", file=sys.stderr)
