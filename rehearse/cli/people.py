"""The operator's staff as far as training concerns them: `people`."""

from __future__ import annotations

import argparse

from rehearse.cli.common import Commands, add, add_acting, later

ROLES = ("trainee", "instructor", "examiner", "administrator")


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    people = add(commands, "people", "Enter and list people, their roles and their PINs.")
    kinds = people.add_subparsers(dest="people_command", required=True, metavar="WHAT")
    _add_add(kinds)
    _add_list(kinds)
    _add_change(kinds)
    _add_roles(kinds)
    _add_pin(kinds)
    _add_leave(kinds)


def add_person(command: argparse.ArgumentParser) -> None:
    """Whose record it is."""
    command.add_argument("person", metavar="STAFFNUMBER", help="whose")


def _add_particulars(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--position", nargs="+", default=None, metavar="P", help="crew positions, as C1 C4"
    )
    command.add_argument(
        "--aircraft", nargs="+", default=None, metavar="ID", help="aircraft, as tarn-240"
    )


def _add_add(kinds: Commands) -> None:
    command = _command(kinds, "add", "Enter a person.")
    add_person(command)
    command.add_argument("name", help="the person's name")
    command.add_argument(
        "--is", nargs="+", dest="roles", choices=ROLES, required=True, help="the person's roles"
    )
    _add_particulars(command)


def _add_list(kinds: Commands) -> None:
    command = _command(kinds, "list", "Everyone, by name.")
    command.add_argument("--left", action="store_true", help="those too who have left")
    command.add_argument("--json", action="store_true", help="one JSON object a line for each")


def _add_change(kinds: Commands) -> None:
    command = _command(kinds, "change", "Correct a person's particulars; the old ones stay.")
    add_person(command)
    command.add_argument("--number", metavar="STAFFNUMBER", help="the new staff number")
    command.add_argument("--name", help="the new name")
    _add_particulars(command)


def _add_roles(kinds: Commands) -> None:
    command = _command(kinds, "roles", "Give a person these roles and no others.")
    add_person(command)
    command.add_argument("roles", nargs="+", choices=ROLES, metavar="ROLE", help=", ".join(ROLES))


def _add_pin(kinds: Commands) -> None:
    command = _command(kinds, "pin", "Set a PIN, asked for and never typed as an option.")
    add_person(command)


def _add_leave(kinds: Commands) -> None:
    command = _command(kinds, "leave", "Note the last day of a person; the records stay.")
    add_person(command)
    command.add_argument("--on", required=True, metavar="DATE", help="the last day")


def _command(kinds: Commands, name: str, text: str) -> argparse.ArgumentParser:
    command = add(kinds, name, text)
    add_acting(command)
    command.set_defaults(run=later(f"people_acts:{name}_"))
    return command
