"""The hearing benchmark: `bench hear`."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rehearse.cli.common import PASSED, Commands, add, at_least_one
from rehearse.screen import ASIDE, waiting

if TYPE_CHECKING:
    from rehearse.bench.drill_voices import Shouter
    from rehearse.bench.hearing.trials import Trial
    from rehearse.book.model import Procedure

_AIRCRAFT = "tarn-240"


def add_hear(kinds: Commands) -> None:
    """`bench hear` and its options."""
    hear = add(kinds, "hear", "Have critical steps said by many voices in noise, and judged; long.")
    hear.add_argument(
        "--clips",
        type=Path,
        nargs="+",
        metavar="FOLDER",
        help="the voices of these folders: ID.wav or ID.flac for each line of its lines.jsonl; "
        "the voices of installed speech programs if not given",
    )
    hear.add_argument(
        "--texts",
        type=at_least_one(),
        default=40,
        metavar="NUMBER",
        help="so many texts a voice (default: 40), always the same ones",
    )
    hear.add_argument(
        "--conditions", nargs="+", metavar="NAME", help="only these, as clean or 'noise 10 dB'"
    )
    hear.add_argument("--pipelines", nargs="+", metavar="NAME", help="only these, as rehearse")
    hear.add_argument(
        "--every",
        type=at_least_one(),
        default=1,
        metavar="NUMBER",
        help="the pipelines beside our own hear one text in so many (default: 1, all)",
    )
    hear.add_argument(
        "--workers",
        type=at_least_one(),
        default=1,
        metavar="NUMBER",
        help="so many processes of one thread and about 1.2 GB each (default: 1)",
    )
    hear.add_argument(
        "--keep",
        type=Path,
        metavar="FILE",
        help="add every result to this file, and pass over those in it",
    )
    instead = hear.add_mutually_exclusive_group()
    instead.add_argument(
        "--lines",
        nargs="+",
        metavar="VOICE",
        help="only print the lines.jsonl that these voices must say, for a folder of clips",
    )
    instead.add_argument(
        "--say",
        type=Path,
        metavar="FOLDER",
        help="only let the installed speech programs say their texts into a folder of clips",
    )
    instead.add_argument(
        "--report",
        type=Path,
        nargs="+",
        metavar="KEPT",
        help="only print what is in these files, without sound or models",
    )
    instead.add_argument(
        "--fit",
        type=Path,
        nargs="+",
        metavar="KEPT",
        help="only find the thresholds of hearing from what the fit voices gave in these files",
    )
    hear.set_defaults(run=_hear)


def _hear(options: argparse.Namespace) -> int:
    for line in _lines(options):
        print(line, flush=True)
    return PASSED


def _lines(options: argparse.Namespace) -> Iterator[str]:
    from rehearse.bench.hearing import rows, table

    if options.report:
        return table.lines(tuple(rows.read(_there(options.report)).values()))
    if options.fit:
        from rehearse.bench.hearing.fitting import fit_lines

        return fit_lines(tuple(rows.read(_there(options.fit)).values()))
    return _lines_of_run(options)


def _there(paths: Sequence[Path]) -> Sequence[Path]:
    """The paths, every one of which must be there."""
    from rehearse.bench.hearing.rows import KeptError

    for path in paths:
        if not path.exists():
            raise KeptError(f"{path}: not found; name a file that 'bench hear --keep' wrote")
    return paths


def _lines_of_run(options: argparse.Namespace) -> Iterator[str]:
    from rehearse.bench.drill_voices import lines_to_say
    from rehearse.bench.hearing import speakers, trials
    from rehearse.book import shelf

    procedures = [p for p in shelf.all_procedures() if p.aircraft == _AIRCRAFT]
    pool = trials.pool(procedures)

    def texts_of(voice: str) -> list[str]:
        return [trial.text for trial in trials.sample(pool, voice, options.texts)]

    if options.lines:
        for voice in options.lines:
            yield from lines_to_say(texts_of(voice), [voice])
    elif options.say:
        with waiting("speaking") as told:
            yield from speakers.say_all(options.say, speakers.installed(), texts_of, told)
    else:
        yield from _run(options, procedures, pool)


def _run(
    options: argparse.Namespace, procedures: Sequence[Procedure], pool: Sequence[Trial]
) -> Iterator[str]:
    from rehearse.bench.hearing import measuring, rows, speakers, table, trials
    from rehearse.bench.hearing.conditions import named
    from rehearse.bench.hearing.pipelines import present

    voices: Sequence[Shouter] = (
        speakers.of_folders(options.clips) if options.clips else speakers.installed()
    )
    pipelines, missing = present(options.pipelines or ())
    for line in missing:
        ASIDE.print(line)
    said, left_out = [], 0
    for voice in voices:
        chosen = trials.sample(pool, voice.name, options.texts)
        own = [trial for trial in chosen if speakers.can_say(voice, trial.text)]
        left_out += len(chosen) - len(own)
        said.append((voice, own))
    if left_out:
        ASIDE.print(f"{left_out} texts have no clip and are left out; --lines prints them all")
    plan = measuring.Plan(
        said,
        {procedure.id: procedure for procedure in procedures},
        named(options.conditions or ()),
        pipelines,
        options.every,
    )
    done = rows.read([options.keep]) if options.keep else {}
    found = dict(done)
    units = plan.units(done)
    with waiting("loading the models") as told:
        for number, results in enumerate(
            measuring.measure(units, options.workers, options.keep), 1
        ):
            found.update((row.key, row) for row in results)
            told(f"heard {number} of {len(units)} texts")
    yield from table.lines(tuple(found.values()))
