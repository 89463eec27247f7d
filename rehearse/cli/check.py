"""An oral check of one candidate by one instructor: `check`."""

from __future__ import annotations

from pathlib import Path

from rehearse.cli.common import Commands, add, add_acting, add_programme, later


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(
        commands, "check", "Hold an oral check: no help, every verdict with its evidence."
    )
    add_acting(command)
    add_programme(command)
    command.add_argument("--candidate", required=True, metavar="STAFFNUMBER", help="who is checked")
    command.add_argument(
        "--element", required=True, metavar="ID", help="the programme's element it is of"
    )
    command.add_argument(
        "--procedure",
        nargs="+",
        metavar="ID",
        help="procedures to draw from; all of the element by default",
    )
    command.add_argument(
        "--count", type=int, metavar="N", help="how many are drawn; all by default"
    )
    command.add_argument(
        "--seed", type=int, metavar="N", help="what the draw follows from; a new one by default"
    )
    command.add_argument(
        "--draw", action="store_true", help="show what is drawn, in order, and check nothing"
    )
    command.add_argument("--taught-by", metavar="STAFFNUMBER", help="who taught the candidate")
    command.add_argument(
        "--consent",
        choices=("yes", "no"),
        help="the candidate's word on keeping the sound; asked for when left out",
    )
    source = command.add_mutually_exclusive_group()
    source.add_argument(
        "--words", nargs="+", type=Path, metavar="FILE",
        help="words files instead of a microphone, one for each drawn procedure, in order",
    )  # fmt: skip
    source.add_argument(
        "--audio", nargs="+", type=Path, metavar="FILE", help="recordings, likewise"
    )
    source.add_argument(
        "--take", nargs="+", type=Path, metavar="FOLDER",
        help="takes of a check that was cut short before it was recorded",
    )  # fmt: skip
    command.add_argument("--takes", type=Path, metavar="FOLDER", help="where takes are kept")
    command.add_argument("--headset", action="store_true", help="hear while the tool speaks")
    command.add_argument("--microphone", metavar="NAME", help="an input device other than default")
    command.add_argument("--loudspeaker", metavar="NAME", help="an output device, likewise")
    command.add_argument("--json", action="store_true", help="one JSON object a line for each take")
    command.set_defaults(run=later("check_acts:check"))
