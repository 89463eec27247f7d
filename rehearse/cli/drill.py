"""Command drills on the clock: `drill`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.common import Commands, add, later


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(
        commands,
        "drill",
        "Give cues and time the commands that are shouted back: words, level and rhythm.",
    )
    command.add_argument(
        "drill", nargs="?", metavar="NAME", help="a drill file, or an id that --list shows"
    )
    command.add_argument("--list", action="store_true", help="show the drills there are")
    _add_run(command)
    _add_instead(command)
    _add_devices(command)
    command.set_defaults(run=later("drill_acts:drill_"))


def _add_run(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--seed", type=int, metavar="N", help="what every wait and turn follows from; a new one"
        " by default, shown so that the same drill can be had again",
    )  # fmt: skip
    command.add_argument("--position", default="", metavar="C4", help="the crew position it is for")
    command.add_argument(
        "--person",
        default="",
        metavar="ID",
        help="whose baseline and past drills count; no name. Yours by default",
    )
    command.add_argument(
        "--calm",
        type=Path,
        metavar="AUDIO",
        help="with --from: half a minute of the same voice reading calmly, for its level",
    )
    command.add_argument("--json", action="store_true", help="one JSON object a line for each run")
    command.add_argument(
        "--pictures", type=Path, metavar="FOLDER", help="write a picture of each run, SVG and PNG"
    )


def _add_instead(command: argparse.ArgumentParser) -> None:
    """What is done instead of a drill at the microphone."""
    instead = command.add_mutually_exclusive_group()
    instead.add_argument(
        "--from", nargs="+", type=Path, metavar="AUDIO", dest="audio", default=[],
        help="recordings of somebody who answers, each scored as a run of its own",
    )  # fmt: skip
    instead.add_argument(
        "--take", nargs="+", type=Path, metavar="FOLDER", default=[],
        help="kept runs, scored again with their own drill",
    )  # fmt: skip
    instead.add_argument(
        "--baseline",
        action="store_true",
        help="read half a minute calmly, so that levels can be told over your own calm voice",
    )
    instead.add_argument(
        "--latency",
        action="store_true",
        help="measure how late a headset plays, so that reactions are timed exactly",
    )
    instead.add_argument(
        "--trends",
        action="store_true",
        help="show how past drills went over time, all of them or those of NAME",
    )


def _add_devices(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--headset",
        action="store_true",
        help="hear while cues sound: only with headphones, or the tool hears itself",
    )
    command.add_argument("--no-sound", action="store_true", help="keep no sound once it is scored")
    command.add_argument("--takes", type=Path, metavar="FOLDER", help="where runs are kept")
    command.add_argument("--microphone", metavar="NAME", help="an input device other than default")
    command.add_argument("--loudspeaker", metavar="NAME", help="an output device, likewise")
