"""`bench ghosts`: half hours of sound in which nobody says a step."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rehearse.cli.common import NOT_PASSED, PASSED, Commands, add, at_least_one, over_zero, say
from rehearse.screen import waiting

if TYPE_CHECKING:
    from rehearse.bench.ghosts.kinds import Kind
    from rehearse.bench.ghosts.outcome import Outcome


def add_ghosts(kinds: Commands) -> None:
    """What can be typed of it."""
    ghosts = add(kinds, "ghosts", "Play sound in which nobody says a step: what is credited; long.")
    ghosts.add_argument(
        "--minutes",
        type=over_zero(6000.0, "is not a number of minutes; give 0.5 or more"),
        default=30.0,
        metavar="NUMBER",
        help="so many minutes of each kind (default: 30), always the same ones",
    )
    ghosts.add_argument("--kinds", nargs="+", metavar="KIND", help=_kinds_help())
    ghosts.add_argument(
        "--clips",
        type=Path,
        nargs="+",
        default=[],
        metavar="FOLDER",
        help="the voices of other people and of the tool: ID.wav, ID.flac or ID.ogg for each line "
        "of the folder's lines.jsonl",
    )
    ghosts.add_argument(
        "--lines",
        nargs="+",
        metavar="VOICE",
        help="only print the lines.jsonl that these voices must say, for a folder of clips",
    )
    ghosts.add_argument(
        "--speak",
        type=Path,
        metavar="FOLDER",
        help="only make a folder of clips with the speech programs of this machine and the tool's "
        "own voice; what is there already is not said again",
    )
    ghosts.add_argument(
        "--workers",
        type=at_least_one("number of processes"),
        default=1,
        metavar="NUMBER",
        help="so many processes of one thread each (default: 1)",
    )
    ghosts.add_argument(
        "--keep",
        type=Path,
        metavar="FILE",
        help="add the outcome of every half minute to this file, and pass over those in it",
    )
    ghosts.add_argument(
        "--report",
        type=Path,
        nargs="+",
        metavar="FILE",
        help="only print the table of kept outcomes",
    )
    ghosts.add_argument(
        "--all-voiced",
        action="store_true",
        help="hear it as if voice detection had failed and took all sound for a voice",
    )
    ghosts.add_argument("--texts", action="store_true", help="also print all that was heard")
    ghosts.add_argument(
        "--write",
        type=Path,
        metavar="FOLDER",
        help="only write the sound of so many minutes of each kind, as FLAC files",
    )
    ghosts.set_defaults(run=_bench_ghosts)


def _bench_ghosts(options: argparse.Namespace) -> int:
    from rehearse.bench.drill_voices import lines_to_say
    from rehearse.bench.ghosts.kinds import chosen
    from rehearse.bench.ghosts.outcome import kept
    from rehearse.bench.ghosts.people import everyday

    kinds = chosen(options.kinds)
    if options.lines:
        for line in lines_to_say(everyday(), options.lines):
            print(line)
        return PASSED
    if options.speak:
        return _speak(options.speak, options.minutes)
    if options.write:
        return _write(options.write, kinds, options)
    if options.report:
        names = {kind.name for kind in kinds}
        return _told([o for o in kept(options.report) if o.kind in names], options)
    return _measure(kinds, options)


def _measure(kinds: Sequence[Kind], options: argparse.Namespace) -> int:
    from rehearse.bench.ghosts.ground import check, places
    from rehearse.bench.ghosts.measuring import measured

    check(options.clips, kinds, options.minutes)
    wanted = places(kinds, options.minutes, detected=not options.all_voiced)
    outcomes = []
    with waiting("loading the models") as told:
        for outcome in measured(wanted, options.clips, options.keep, options.workers):
            outcomes.append(outcome)
            told(f"heard {len(outcomes)} of {len(wanted)} half minutes")
    return _told(outcomes, options)


def _told(outcomes: list[Outcome], options: argparse.Namespace) -> int:
    from rehearse.bench.ghosts.kinds import KINDS
    from rehearse.bench.ghosts.lines import lines, wrong

    for line in lines(outcomes, texts=options.texts):
        say(line)
    bad = any(wrong(found) for found in outcomes if KINDS[found.kind].bound)
    return NOT_PASSED if bad else PASSED


def _speak(folder: Path, minutes: float) -> int:
    from rehearse.bench.ghosts.clips import speak, to_speak
    from rehearse.bench.ghosts.ground import prompts
    from rehearse.bench.ghosts.people import everyday

    lines = list(to_speak(everyday(), prompts(minutes)))
    with waiting("speaking") as told:
        made = speak(folder, lines, lambda done: told(f"said {done} of {len(lines)}"))
    say(f"{folder}: {made} clips made, {len(lines)} are there")
    return PASSED


def _write(folder: Path, kinds: Sequence[Kind], options: argparse.Namespace) -> int:
    from rehearse.bench.ghosts.ground import write

    for path in write(folder, kinds, options.minutes, options.clips):
        say(str(path))
    return PASSED


def _kinds_help() -> str:
    return (
        "only these: silence, cabin, horn, chimes, door-sounds, crying, laughing, breathing, "
        "music, singing, hands, babble, talk, own-muted, own-open"
    )
