"""An instructor disagrees with the judge: `dispute`."""

from __future__ import annotations

import argparse
from pathlib import Path

from rehearse.cli.common import PASSED, Commands, add
from rehearse.screen import waiting


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(
        commands, "dispute", "Turn a verdict that an instructor disagrees with into a corpus case."
    )
    command.add_argument("take", type=Path, help="the folder of a kept take")
    command.add_argument("step", help="the id of the step")
    command.add_argument(
        "verdict", help="what it should be: said, incomplete, wrong, not_said or unclear"
    )
    command.add_argument("--why", required=True, metavar="TEXT", help="the reason, in a few words")
    command.add_argument(
        "--said",
        default="",
        metavar="WORDS",
        help="the words it rests on, when not those that the judge took for the step",
    )
    command.add_argument(
        "--corpus",
        type=Path,
        metavar="FOLDER",
        help="the corpus to add to, as tests/corpus; your own in your data folder by default",
    )
    command.set_defaults(run=_dispute)


def _dispute(options: argparse.Namespace) -> int:
    from rehearse.bench.dispute import corpus_folder, dispute, record, words_judged
    from rehearse.record.take import Take
    from rehearse.session.score import Scorer

    take = Take.open(options.take)
    procedure, given, said = take.procedure, "", options.said
    if not said and options.step in {step.id for step in procedure.steps}:
        with waiting("judging the take again"):
            result = Scorer(None, with_sound=False).report("take", options.take).result
        judged = result.step(options.step)
        given = f" (the judge: {judged.verdict.value})"
        said = words_judged(judged, take.events)
    case = dispute(
        procedure,
        take.events,
        step=options.step,
        verdict=options.verdict,
        why=options.why,
        said=said,
    )
    where = record(case, options.corpus or corpus_folder())
    print(f"{where}: {case.step.id} is {case.expect.value}{given} in: {case.said}")
    return PASSED
