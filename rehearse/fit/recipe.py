"""The course by which the shipped step judges were fitted, from base weights to full precision."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from rehearse.fit.examples import examples
from rehearse.fit.rows import Row
from rehearse.fit.train import Judge, Probabilities, Recipe, mean_of

TEACHERS = (
    (1, Recipe(epochs=5, batch=128, rate=1e-4)),
    (2, Recipe(epochs=5, batch=128, rate=1e-4)),
    (3, Recipe(epochs=5, batch=128, rate=8e-5)),
    (4, Recipe(epochs=5, batch=128, rate=1.2e-4)),
)  # seed and recipe of each
POOL_SEEDS = (901, 902)  # the draws of examples that the pupils learn from
PUPIL = Recipe(epochs=2, batch=128, rate=5e-5)
FINISH = Recipe(epochs=3, batch=128, rate=9e-5, agreement=2.0)  # the large pupil, on labels again
SMALL_PUPIL = Recipe(epochs=8, batch=128, rate=3e-4)
PUPIL_SEED, FINISH_SEED = 7, 12


def fitted(rows: Sequence[Row], mpnet: Path, minilm: Path, device: str) -> tuple[Judge, Judge]:
    """The large and the small judge: four teachers, and two pupils who learn what they agree on.

    Args:
        rows: what `rehearse.fit.rows.read_rows` gives.
        mpnet: folder with the large judge's base weights, config.json and tokenizer.json.
        minilm: the same for the small one.
        device: "cuda", or "cpu" with days to spare.
    """
    teachers = []
    for seed, recipe in TEACHERS:
        teacher = Judge("step-judge-mpnet", mpnet, device)
        teacher.fit(rows, recipe, seed)
        teachers.append(teacher)
    drawn = (example for seed in POOL_SEEDS for example in examples(rows, seed))
    pool = list(dict.fromkeys((example.step, example.said) for example in drawn))
    targets = _agreed(teachers, pool)
    large = mean_of(teachers)
    large.learn(pool, targets, PUPIL, PUPIL_SEED)
    large.fit(rows, FINISH, FINISH_SEED)
    small = Judge("step-judge-minilm", minilm, device)
    small.learn(pool, targets, SMALL_PUPIL, PUPIL_SEED)
    return large, small


def _agreed(teachers: Sequence[Judge], pool: Sequence[tuple[str, str]]) -> Probabilities:
    mean: Probabilities = np.mean([t.probabilities(pool) for t in teachers], axis=0)
    return mean
