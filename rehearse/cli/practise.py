"""Saying procedures aloud, and judging what was said: `practise` and `score`."""

from __future__ import annotations

import argparse
import json
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rehearse.book import shelf
from rehearse.cli.common import (
    NOT_PASSED,
    PASSED,
    UNUSABLE,
    Commands,
    Told,
    add,
    add_procedure,
    complain,
    device,
)
from rehearse.coach.pace import Level
from rehearse.errors import RehearseError
from rehearse.record.summary import summary
from rehearse.record.text import renderable
from rehearse.screen import SCREEN, PracticeView, waiting

if TYPE_CHECKING:  # loading the engines takes a second that `book list` need not wait
    from rehearse.session.score import Kind, Scorer


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    _add_practise(commands)
    _add_score(commands)


def _add_practise(commands: Commands) -> None:
    command = add(commands, "practise", "Listen, help, correct and debrief aloud; keep the take.")
    add_procedure(command)
    command.add_argument(
        "--level",
        choices=[level.value for level in Level],
        default=Level.STEADY.value,
        help="how much help: quiet (only at the end), steady (after a pause), close (sooner)",
    )
    command.add_argument(
        "--silent-until-end",
        action="store_true",
        help="no help at all before the debrief: the same as --level quiet",
    )
    command.add_argument(
        "--headset",
        action="store_true",
        help="hear while speaking: only with headphones, or the tool hears itself",
    )
    command.add_argument("--no-sound", action="store_true", help="keep the log, not the sound")
    command.add_argument("--takes", type=Path, metavar="FOLDER", help="where takes are kept")
    command.add_argument("--microphone", metavar="NAME", help="an input device other than default")
    command.add_argument("--loudspeaker", metavar="NAME", help="an output device, likewise")
    command.set_defaults(run=_practise)


def _add_score(commands: Commands) -> None:
    command = add(commands, "score", "Judge recordings, words files or kept takes.")
    add_procedure(command, "?")
    for option, what, text in (
        ("--audio", "FILE", "recordings, each a take of its own"),
        ("--words", "FILE", "texts: JSON Lines of text, start and end"),
        ("--take", "FOLDER", "kept takes, judged again with their own procedure"),
    ):
        command.add_argument(
            option, nargs="+", action=_InOrder, dest="inputs", default=[], metavar=what, help=text
        )
    command.add_argument("--json", action="store_true", help="one JSON object a line for each")
    command.add_argument(
        "--pages", type=Path, metavar="FOLDER", help="write a page with a timeline for each"
    )
    command.set_defaults(run=_score)


class _InOrder(argparse.Action):
    """Gathers what is to be judged, of whatever kind, in the order in which it was typed."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,  # noqa: ARG002
        namespace: argparse.Namespace,
        values: str | Sequence[object] | None,
        option_string: str | None = None,
    ) -> None:
        """Adds (kind, path) pairs to the ones already typed."""
        kind = str(option_string).removeprefix("--")
        more = [(kind, Path(str(value))) for value in values or ()]
        setattr(namespace, self.dest, [*getattr(namespace, self.dest), *more])


def _practise(options: argparse.Namespace) -> int:
    from rehearse.session.engine import load_engine
    from rehearse.session.studio import Choices, practise

    procedure = shelf.find(options.procedure)
    with waiting("loading the models"):
        engine = load_engine(procedure.language)
    if unheard := engine.unheard(procedure):
        complain(unheard)
    level = Level.QUIET if options.silent_until_end else Level(options.level)
    choices = Choices(
        level=level,
        headset=options.headset,
        keep_sound=not options.no_sound,
        takes=options.takes,
        microphone=device(options.microphone),
        loudspeaker=device(options.loudspeaker),
    )
    report, folder = practise(procedure, engine, choices, PracticeView(), complain)
    SCREEN.print()
    SCREEN.print(renderable(report))
    SCREEN.print(f"Kept in {folder}; its page: {folder / 'report.html'}", soft_wrap=True)
    return PASSED if report.result.passed else NOT_PASSED


def _score(options: argparse.Namespace) -> int:
    kinds = {kind for kind, _ in options.inputs}
    if not kinds:
        raise RehearseError("score: nothing to judge; add --audio, --words or --take")
    if kinds != {"take"} and not options.procedure:
        raise RehearseError("score: no procedure named; give its file or id before the options")
    if "take" in kinds and options.procedure:
        raise RehearseError("score: a take has its own procedure; leave PROCEDURE out with --take")
    from rehearse.session.score import Scorer

    with waiting("loading the models") as told:
        judging = Scorer(
            shelf.find(options.procedure) if options.procedure else None,
            with_sound="audio" in kinds,
        )
        if judging.unheard:
            complain(judging.unheard)
        status = PASSED
        for kind, path in options.inputs:
            told(f"judging {path}")
            status = max(status, _score_one(judging, kind, path, options, told))
    return status


def _score_one(
    judging: Scorer, kind: Kind, path: Path, options: argparse.Namespace, told: Told
) -> int:
    try:
        report = judging.report(kind, path, lambda s: told(f"judging {path}: {s:.0f} s"))
        if options.pages:
            judging.write_page(report, options.pages, kind, path)
    except RehearseError as error:
        if options.debug:
            traceback.print_exception(error)
        if options.json:
            print(json.dumps({"file": str(path), "error": str(error)}), flush=True)
        complain(error)
        return UNUSABLE
    if options.json:
        print(json.dumps(summary(str(path), report.result, report.events)), flush=True)
    else:
        SCREEN.print(renderable(report))
        SCREEN.print()
    return PASSED if report.result.passed else NOT_PASSED
