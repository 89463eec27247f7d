"""The judge, the ears and the records measured: `bench`."""

from __future__ import annotations

import argparse
from functools import cache
from pathlib import Path

from rehearse.book import shelf
from rehearse.cli.bench_ghosts import add_ghosts
from rehearse.cli.bench_hear import add_hear
from rehearse.cli.common import PASSED, Commands, add, at_least_one, over_zero
from rehearse.screen import waiting

_DAY = 24


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    _add_bench(commands)


def _add_bench(commands: Commands) -> None:
    bench = add(commands, "bench", "Measure how often the judge is right, and how things grow.")
    kinds = bench.add_subparsers(dest="bench_command", required=True, metavar="WHAT")
    judge = add(kinds, "judge", "Judge the labelled corpus, beside plain alternatives; minutes.")
    _add_corpus(judge)
    judge.add_argument(
        "--development",
        action="store_true",
        help="the development procedures only: what may be looked at while rules are written",
    )
    judge.add_argument(
        "--embedding",
        type=Path,
        metavar="FOLDER",
        help="a sentence embedding to compare with; models/sentence-embedding if it is there",
    )
    judge.set_defaults(run=_bench_judge)
    fit = add(kinds, "fit", "Fit the thresholds on the development procedures; many minutes.")
    _add_corpus(fit)
    fit.add_argument(
        "--write",
        action="store_true",
        help="write them into judge/thresholds.yaml; else only print",
    )
    fit.set_defaults(run=_bench_fit)
    aloud = add(kinds, "rehearsal", "Say every procedure, rightly and not, and judge it; long.")
    aloud.add_argument(
        "names", nargs="*", metavar="PROCEDURE", help="only these; every one that is found if none"
    )
    aloud.add_argument(
        "--voices",
        type=int,
        default=4,
        metavar="NUMBER",
        help="so many synthetic voices besides the bare text (default: 4); 0 for the text alone",
    )
    aloud.add_argument(
        "--clips",
        type=Path,
        metavar="FOLDER",
        help="the voices of this folder instead: ID.wav for each line of its lines.jsonl",
    )
    aloud.add_argument(
        "--lines",
        nargs="+",
        metavar="VOICE",
        help="only print the lines.jsonl that these voices must say, for a folder of clips",
    )
    aloud.set_defaults(run=_bench_rehearsal)
    _add_drills(kinds)
    add_ghosts(kinds)
    add_hear(kinds)
    soak = add(kinds, "soak", "Hear hours of sound, take after take: does memory stay flat; long.")
    soak.add_argument(
        "--hours",
        type=over_zero(_DAY, f"is no number of hours up to {_DAY}"),
        default=2.0,
        metavar="NUMBER",
        help="of sound (default: 2)",
    )
    soak.set_defaults(run=_bench_soak)
    growth = add(kinds, "growth", "How judging grows with steps, words and talk; minutes.")
    growth.set_defaults(run=_bench_growth)
    records = add(kinds, "records", "How the records grow: due list, verify, memory; minutes.")
    records.add_argument(
        "--checks",
        type=int,
        nargs="+",
        default=(10_000, 100_000, 1_000_000),
        metavar="NUMBER",
        help="fill a throwaway store with so many checks; to a million by default",
    )
    records.set_defaults(run=_bench_records)


def _add_drills(kinds: Commands) -> None:
    drills = add(kinds, "drills", "Construct drills with known truth, hear and score them; long.")
    drills.add_argument(
        "--count",
        type=at_least_one("number of drills"),
        default=300,
        metavar="NUMBER",
        help="so many drills (default: 300), always the same ones",
    )
    drills.add_argument(
        "--clips",
        type=Path,
        metavar="FOLDER",
        help="shout with the voices of this folder: ID.wav for each line of its lines.jsonl; "
        "with eight voices of a speech program if not given",
    )
    drills.add_argument(
        "--lines",
        nargs="+",
        metavar="VOICE",
        help="only print the lines.jsonl that these voices must say, for a folder of clips",
    )
    drills.add_argument(
        "--keep",
        type=Path,
        metavar="FILE",
        help="add the figures of every drill to this file, and pass over those in it",
    )
    drills.set_defaults(run=_bench_drills)


def _add_corpus(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--corpus",
        type=Path,
        metavar="FOLDER",
        help="the labelled sayings, tests/corpus by default",
    )
    command.add_argument(
        "--procedures", type=Path, metavar="FOLDER", help="the procedures that they are about"
    )


def _bench_judge(options: argparse.Namespace) -> int:
    from rehearse.bench.embedding import find_embedding
    from rehearse.bench.judge import CORPUS, evaluate, evaluation_readers
    from rehearse.bench.lines import lines

    with waiting("loading the models") as told:
        evaluation = evaluate(
            options.corpus or CORPUS,
            options.procedures or shelf.SHIPPED,
            evaluation_readers(),
            lambda done, all_: told(f"judged {done} of {all_}"),
            embedding=find_embedding(options.embedding),
            held_out=not options.development,
        )
    for line in lines(evaluation):
        print(line)
    return PASSED


def _bench_soak(options: argparse.Namespace) -> int:
    from rehearse.bench import soak

    for line in soak.lines(options.hours):
        print(line, flush=True)
    return PASSED


def _bench_fit(options: argparse.Namespace) -> int:
    from rehearse.bench.fitting import fit_lines, shipped_file, write
    from rehearse.bench.judge import CORPUS, evaluation_readers, fit_thresholds

    with waiting("loading the models") as told:
        found = fit_thresholds(
            options.corpus or CORPUS,
            options.procedures or shelf.SHIPPED,
            evaluation_readers(),
            lambda done, all_: told(f"trial {done} of {all_} in this round"),
        )
    for line in fit_lines(found):
        print(line)
    if options.write:
        write(found.chosen, shipped_file())
        print(f"written to {shipped_file()}")
    else:
        print("nothing is written; add --write to do so")
    return PASSED


def _bench_rehearsal(options: argparse.Namespace) -> int:
    from rehearse.bench import rehearsal
    from rehearse.bench.drill_voices import lines_to_say, recorded
    from rehearse.language import load
    from rehearse.session.engine import load_engine

    named = [shelf.find(name) for name in options.names]
    procedures = named or shelf.all_procedures()
    if options.lines:
        texts = [
            text for p in procedures for text in rehearsal.texts(p, load(p.language).added(p.words))
        ]
        for line in lines_to_say(list(dict.fromkeys(texts)), options.lines):
            print(line)
        return PASSED
    clips = recorded(options.clips) if options.clips else ()
    voices = (lambda _procedure: clips) if clips else rehearsal.synthetic(options.voices)
    for line in rehearsal.lines(rehearsal.rehearse_all(procedures, cache(load_engine), voices)):
        print(line, flush=True)
    return PASSED


def _bench_drills(options: argparse.Namespace) -> int:
    from rehearse.bench.drill_lines import lines
    from rehearse.bench.drill_voices import lines_to_say, synthetic
    from rehearse.bench.drill_voices import recorded as recorded_voices
    from rehearse.bench.drill_wordings import texts
    from rehearse.bench.drills import LANGUAGE, measured
    from rehearse.session.engine import load_engine

    if options.lines:
        for line in lines_to_say(texts(), options.lines):
            print(line)
        return PASSED
    voices = recorded_voices(options.clips) if options.clips else synthetic()
    drills = []
    with waiting("loading the models") as told:
        engine = load_engine(LANGUAGE)
        for drill in measured(options.count, voices, engine, options.keep):
            drills.append(drill)
            told(f"scored {len(drills)} of {options.count}")
    for line in lines(drills):
        print(line)
    return PASSED


def _bench_growth(_options: argparse.Namespace) -> int:
    from rehearse.bench.growth import lines

    for line in lines():
        print(line, flush=True)
    return PASSED


def _bench_records(options: argparse.Namespace) -> int:
    from rehearse.bench.records import lines

    for line in lines(options.checks):
        print(line, flush=True)
    return PASSED
