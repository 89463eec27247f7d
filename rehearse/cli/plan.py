"""An aircraft's register on paper: `plan` and `card`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.common import Commands, add, later


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    plan = add(commands, "plan", "Draw an aircraft's cabin plan, or print its equipment map.")
    _add_aircraft(plan)
    _add_output(plan, "FILE.svg: the plan; FILE.pdf: the plan with a table of all equipment")
    plan.set_defaults(run=later("plan_acts:plan_"))
    card = add(commands, "card", "Print a crew position's card on one page.")
    _add_aircraft(card)
    card.add_argument("--position", required=True, metavar="C4", help="the crew position")
    _add_output(card, "FILE.pdf: a new file")
    card.set_defaults(run=later("plan_acts:card_"))


def _add_aircraft(command: argparse.ArgumentParser) -> None:
    command.add_argument("--aircraft", required=True, metavar="ID", help="the aircraft's id")


def _add_output(command: argparse.ArgumentParser, about: str) -> None:
    command.add_argument("-o", "--to", type=Path, required=True, metavar="FILE", help=about)
    command.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="size of a sheet; a4 by default"
    )
