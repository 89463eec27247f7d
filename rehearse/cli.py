"""The command line: parses what was typed, calls the library, prints what comes back."""

from __future__ import annotations

import argparse
import json
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from rehearse import __version__
from rehearse.book import lint as advice
from rehearse.book import reader, shelf, show
from rehearse.coach.pace import Level
from rehearse.errors import BookError, RehearseError
from rehearse.record.summary import summary
from rehearse.record.text import renderable
from rehearse.safety import NOTICE
from rehearse.screen import ASIDE, SCREEN, PracticeView, waiting

if TYPE_CHECKING:  # loading the engines takes a second that `book list` need not wait
    from rehearse.session.score import Kind, Scorer

Told = Callable[[str], None]
PASSED, NOT_PASSED, UNUSABLE = 0, 1, 2


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
    _add_practise(commands)
    _add_score(commands)
    _add_book(commands)
    _add_doctor(commands)
    _add_bench(commands)
    return top


_Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"  # noqa: SLF001


def _add(commands: _Commands, name: str, text: str) -> argparse.ArgumentParser:
    return commands.add_parser(name, help=text[0].lower() + text[1:-1], description=text)


def _add_procedure(command: argparse.ArgumentParser, nargs: str | None = None) -> None:
    command.add_argument(
        "procedure", nargs=nargs, help="a procedure file, or an id that 'book list' shows"
    )


def _add_practise(commands: _Commands) -> None:
    command = _add(commands, "practise", "Listen, help, correct and debrief aloud; keep the take.")
    _add_procedure(command)
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


def _add_score(commands: _Commands) -> None:
    command = _add(commands, "score", "Judge recordings, words files or kept takes.")
    _add_procedure(command, "?")
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


def _add_book(commands: _Commands) -> None:
    book = _add(commands, "book", "List, show and check procedures.")
    kinds = book.add_subparsers(dest="book_command", required=True, metavar="WHAT")
    listing = _add(kinds, "list", "The procedures that are found.")
    listing.set_defaults(run=_book_list)
    page = _add(kinds, "show", "One procedure, step by step.")
    _add_procedure(page)
    page.set_defaults(run=_book_show)
    lint = _add(kinds, "lint", "Every fault of a procedure file, and advice.")
    lint.add_argument("files", nargs="+", type=Path, metavar="FILE", help="procedure files")
    lint.set_defaults(run=_book_lint)


def _add_doctor(commands: _Commands) -> None:
    command = _add(commands, "doctor", "What is fine on this machine, what is not, and the mend.")
    command.add_argument(
        "--bench",
        action="store_true",
        help="measure delay, share of real time and memory instead, in about a minute",
    )
    command.set_defaults(run=_doctor)


def _add_bench(commands: _Commands) -> None:
    bench = _add(commands, "bench", "Measure how often the judge is right.")
    kinds = bench.add_subparsers(dest="bench_command", required=True, metavar="WHAT")
    judge = _add(kinds, "judge", "Judge the labelled corpus, beside plain alternatives; minutes.")
    judge.add_argument(
        "--corpus",
        type=Path,
        metavar="FOLDER",
        help="the labelled sayings, tests/corpus by default",
    )
    judge.add_argument(
        "--procedures", type=Path, metavar="FOLDER", help="the procedures that they are about"
    )
    judge.set_defaults(run=_bench_judge)


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command; the exit status."""
    options = parser().parse_args(argv)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except RehearseError as error:
        if options.debug:
            traceback.print_exception(error)
        _complain(error)
        return UNUSABLE
    except KeyboardInterrupt:
        ASIDE.print("stopped")
        return UNUSABLE
    except BrokenPipeError:  # the reader of our output has gone, as `head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNUSABLE


def _complain(error: RehearseError | str) -> None:
    for line in str(error).splitlines():
        print(f"rehearse: {line}", file=sys.stderr)


def _practise(options: argparse.Namespace) -> int:
    from rehearse.session.engine import load_engine
    from rehearse.session.studio import Choices, practise

    procedure = shelf.find(options.procedure)
    with waiting("loading the models"):
        engine = load_engine()
    level = Level.QUIET if options.silent_until_end else Level(options.level)
    choices = Choices(
        level=level,
        headset=options.headset,
        keep_sound=not options.no_sound,
        takes=options.takes,
        microphone=_device(options.microphone),
        loudspeaker=_device(options.loudspeaker),
    )
    report, folder = practise(procedure, engine, choices, PracticeView(), _complain)
    SCREEN.print()
    SCREEN.print(renderable(report))
    SCREEN.print(f"Kept in {folder}; its page: {folder / 'report.html'}", soft_wrap=True)
    return PASSED if report.result.passed else NOT_PASSED


def _device(name: str | None) -> int | str | None:
    return int(name) if name is not None and name.isdigit() else name


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
        _complain(error)
        return UNUSABLE
    if options.json:
        print(json.dumps(summary(str(path), report.result, report.events)), flush=True)
    else:
        SCREEN.print(renderable(report))
        SCREEN.print()
    return PASSED if report.result.passed else NOT_PASSED


def _book_list(_options: argparse.Namespace) -> int:
    found = shelf.stock()
    for line in show.listing(found.procedures):
        print(line)
    for error in found.broken:
        _complain(error)
    return UNUSABLE if found.broken else PASSED


def _book_show(options: argparse.Namespace) -> int:
    for line in show.page(shelf.find(options.procedure)):
        print(line)
    return PASSED


def _book_lint(options: argparse.Namespace) -> int:
    status = PASSED
    for path in options.files:
        try:
            found = advice.lint(reader.read(path))
        except BookError as error:
            _complain(error)
            status = UNUSABLE
            continue
        for problem in found:
            print(problem)
        if found:
            status = max(status, NOT_PASSED)
        else:
            print(f"{path}: nothing to mend")
    return status


def _doctor(options: argparse.Namespace) -> int:
    if options.bench:
        from rehearse.session.bench import bench

        with waiting("measuring") as told:
            lines = bench(told)
        for line in lines:
            print(line)
        return PASSED
    from rehearse.session.doctor import State, examine

    with waiting("examining") as told:
        findings = examine(before=lambda name: told(f"examining: {name}"))
    width = max(len(finding.name) for finding in findings)
    for finding in findings:
        SCREEN.print(f"{finding.state.value:<10}{finding.name:<{width}}  {finding.sentence}")
        if finding.mend:
            SCREEN.print(f"{'':<10}{'':<{width}}  mend: {finding.mend}")
    return UNUSABLE if any(f.state is State.BROKEN for f in findings) else PASSED


def _bench_judge(options: argparse.Namespace) -> int:
    from rehearse.bench.judge import CORPUS, evaluate, evaluation_readers
    from rehearse.bench.lines import lines

    with waiting("loading the models") as told:
        evaluation = evaluate(
            options.corpus or CORPUS,
            options.procedures or shelf.SHIPPED,
            evaluation_readers(),
            lambda done, all_: told(f"judged {done} of {all_}"),
        )
    for line in lines(evaluation):
        print(line)
    return PASSED


if __name__ == "__main__":
    sys.exit(main())
