"""An aircraft's equipment, doors and positions from memory: `recall`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.common import Commands, add, later


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(
        commands,
        "recall",
        "Ask what is where on an aircraft, and who takes what; hear the answers.",
    )
    command.add_argument("--aircraft", required=True, metavar="ID", help="the aircraft's id")
    command.add_argument("--position", default="", metavar="C4", help="only what concerns it")
    command.add_argument(
        "--list", action="store_true", help="show what is drawn, with the answers, and ask nothing"
    )
    add_answering(command)
    command.set_defaults(run=later("recall_acts:recall_"))


def add_answering(command: argparse.ArgumentParser) -> None:
    """How many questions, which, and where the answers come from."""
    command.add_argument(
        "--questions", type=int, default=10, metavar="N", help="how many are asked; 10 by default"
    )
    command.add_argument(
        "--seed", type=int, metavar="N", help="what the draw follows from; a new one by default"
    )
    source = command.add_mutually_exclusive_group()
    source.add_argument(
        "--words", nargs="+", type=Path, metavar="FILE", default=[],
        help="words files instead of a microphone, one for each question, in order",
    )  # fmt: skip
    source.add_argument(
        "--audio", nargs="+", type=Path, metavar="FILE", default=[], help="recordings, likewise"
    )
    command.add_argument("--json", action="store_true", help="one JSON object a line")
    add_devices(command)


def add_devices(command: argparse.ArgumentParser) -> None:
    """Where it hears, speaks and keeps its log."""
    command.add_argument("--takes", type=Path, metavar="FOLDER", help="where the log is kept")
    command.add_argument("--headset", action="store_true", help="hear while the tool speaks")
    command.add_argument("--microphone", metavar="NAME", help="an input device other than default")
    command.add_argument("--loudspeaker", metavar="NAME", help="an output device, likewise")
