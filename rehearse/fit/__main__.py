"""`python -m rehearse.fit`: garbles, then training and shrinking."""

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
    train = stages.add_parser(
        "train", help="fit both judges (one GPU, half an hour) and shrink them"
    )
    train.add_argument("--mpnet", type=Path, required=True, metavar="FOLDER", help="base weights")
    train.add_argument("--minilm", type=Path, required=True, metavar="FOLDER", help="base weights")
    train.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    train.add_argument("--device", default="cuda")
    train.set_defaults(run=_train)
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


def _train(asked: argparse.Namespace) -> None:
    from rehearse.fit.recipe import fitted
    from rehearse.fit.shrink import export, shrink

    for judge in fitted(read_rows(CORPUS), asked.mpnet, asked.minilm, asked.device):
        folder = asked.out / judge.name
        folder.mkdir(parents=True, exist_ok=True)
        export(judge, folder / "full.onnx")
        shrink(folder / "full.onnx", folder / "model.onnx")


if __name__ == "__main__":
    main()
