"""The course by which the shipped step judges were fitted, from base weights to full precision.

On one H200 both teachers side by side take eight and a half minutes, both pupils six.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from rehearse.fit.examples import examples, unlabelled
from rehearse.fit.rows import Row
from rehearse.fit.train import Judge, Probabilities, Recipe, mean_of
from rehearse.weights.step_judge import StepJudgeName

LARGE: StepJudgeName = "step-judge-mpnet"
SMALL: StepJudgeName = "step-judge-minilm"
TEACHERS = {
    1: Recipe(epochs=5, batch=128, rate=1e-4, agreement=2.0),
    2: Recipe(epochs=5, batch=128, rate=1e-4, agreement=1.0, nudge=1.0),
}  # by seed
POOL_SEEDS = (901,)  # the draws of examples that the pupils learn from
LARGE_PUPIL = Recipe(epochs=2, batch=128, rate=5e-5)
SMALL_PUPIL = Recipe(epochs=8, batch=128, rate=3e-4)
UNLABELLED_SEED = 903
PUPIL_SEED = 7


def teacher(rows: Sequence[Row], base: Path, seed: int, device: str) -> Judge:
    """One of the large judges that are fitted on labels.

    Args:
        rows: what `rehearse.fit.rows.read_rows` gives.
        base: folder with the large judge's base weights, config.json and tokenizer.json.
        seed: which of `TEACHERS`.
        device: "cuda", or "cpu" with days to spare.
    """
    judge = Judge(LARGE, base, device)
    judge.fit(rows, TEACHERS[seed], seed)
    return judge


def agreed(
    rows: Sequence[Row], teachers: Sequence[Judge]
) -> tuple[list[tuple[str, str]], Probabilities]:
    """The pairs that pupils learn, and what the teachers make of them on average, shape (n, 4)."""
    drawn = [(pair.step, pair.said) for seed in POOL_SEEDS for pair in examples(rows, seed)]
    pool = list(dict.fromkeys([*drawn, *unlabelled(rows, UNLABELLED_SEED)]))
    mean: Probabilities = np.mean([t.probabilities(pool) for t in teachers], axis=0)
    return pool, mean


def large_pupil(
    pool: Sequence[tuple[str, str]], targets: Probabilities, teachers: Sequence[Judge]
) -> Judge:
    """The large judge that is shipped: the teachers' mean weights, taught what they agree on."""
    judge = mean_of(teachers)
    judge.learn(pool, targets, LARGE_PUPIL, PUPIL_SEED)
    return judge


def small_pupil(
    pool: Sequence[tuple[str, str]], targets: Probabilities, base: Path, device: str
) -> Judge:
    """The small judge that is shipped, taught the same. base: as for a teacher, but the small."""
    judge = Judge(SMALL, base, device)
    judge.learn(pool, targets, SMALL_PUPIL, PUPIL_SEED)
    return judge
