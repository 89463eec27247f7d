"""`python -m rehearse.fit`: garbles, then teachers, then pupils."""

from __future__ import annotations

import argparse
import random
from pathlib import Path

from rehearse.fit.rows import FITTING, read_rows, write_rows

CORPUS = Path("tests/corpus")


def main() -> None:
    """Runs one stage; see the help of each."""
    parser = argparse.ArgumentParser(prog="python -m rehearse.fit", description=__doc__)
    stages = parser.add_subparsers(required=True)
    garbles = stages.add_parser("garbles", help="speak rows, hear them, keep what was garbled")
    garbles.add_argument("--most", type=int, default=3000, metavar="ROWS")
    garbles.add_argument("--seed", type=int, default=1)
    garbles.set_defaults(run=_garbles)
    teacher = stages.add_parser("teacher", help="fit one large judge on the labels (one GPU)")
    teacher.add_argument("--seed", type=int, required=True, choices=(1, 2))
    teacher.add_argument("--mpnet", type=Path, required=True, metavar="FOLDER", help="base weights")
    teacher.add_argument("--out", type=Path, required=True, metavar="FILE")
    teacher.set_defaults(run=_teacher)
    pupils = stages.add_parser("pupils", help="teach both shipped judges, and shrink them")
    pupils.add_argument("teachers", type=Path, nargs="+", metavar="FILE", help="fitted before")
    pupils.add_argument("--mpnet", type=Path, required=True, metavar="FOLDER", help="base weights")
    pupils.add_argument("--minilm", type=Path, required=True, metavar="FOLDER", help="base weights")
    pupils.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    pupils.set_defaults(run=_pupils)
    for stage in (teacher, pupils):
        stage.add_argument("--device", default="cuda")
    asked = parser.parse_args()
    asked.run(asked)


def _garbles(asked: argparse.Namespace) -> None:
    from rehearse.fit.garbles import garbled
    from rehearse.hear.whisper import Whisper
    from rehearse.weights.store import verified

    rows = [row for row in read_rows(CORPUS) if not row.kind.startswith("asr_")]
    spoken = [row for row in rows if row.expect != "not_said"]
    random.Random(asked.seed).shuffle(spoken)  # noqa: S311 - repeatable on purpose
    recogniser = Whisper(verified("whisper-base-int8"))
    kept = list(garbled(spoken[: asked.most], recogniser, asked.seed))
    write_rows(CORPUS / FITTING / "garbles.jsonl", kept)


def _teacher(asked: argparse.Namespace) -> None:
    from rehearse.fit.recipe import teacher

    teacher(read_rows(CORPUS), asked.mpnet, asked.seed, asked.device).save(asked.out)


def _pupils(asked: argparse.Namespace) -> None:
    from rehearse.fit.recipe import LARGE, agreed, large_pupil, small_pupil
    from rehearse.fit.shrink import export, shrink
    from rehearse.fit.train import Judge

    teachers = []
    for file in asked.teachers:
        teachers.append(Judge(LARGE, asked.mpnet, asked.device))
        teachers[-1].load(file)
    pool, targets = agreed(read_rows(CORPUS), teachers)
    for judge in (
        large_pupil(pool, targets, teachers),
        small_pupil(pool, targets, asked.minilm, asked.device),
    ):
        folder = asked.out / judge.name
        folder.mkdir(parents=True, exist_ok=True)
        export(judge, folder / "full.onnx")
        shrink(folder / "full.onnx", folder / "model.onnx")


if __name__ == "__main__":
    main()
