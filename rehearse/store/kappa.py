"""Agreement between two markers beyond chance. Pure.

Cohen's kappa (J. Cohen, Educational and Psychological Measurement 20, 1960). Steps of one take
are not independent of each other, so the interval comes from resampling whole takes (cluster
bootstrap, percentile method).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rehearse.judge.verdict import Verdict
from rehearse.store.values import Agreement

RESAMPLES = 4000
_SEED = 20261001  # the same marks give the same interval
_PLACE = {verdict: place for place, verdict in enumerate(Verdict)}

Marks = Mapping[str, Verdict]
Counts = NDArray[np.int64]


def agreement(pairs: Sequence[tuple[Marks, Marks]]) -> Agreement:
    """How far two markers agree; one pair of marks by step id for each take.

    Steps that only one of the two has are left out.
    """
    tables = np.zeros((len(pairs), len(_PLACE), len(_PLACE)), np.int64)
    for table, (first, second) in zip(tables, pairs, strict=True):
        for step in first.keys() & second.keys():
            table[_PLACE[first[step]], _PLACE[second[step]]] += 1
    used: Counts = tables[tables.sum(axis=(1, 2)) > 0]
    total = used.sum(axis=0)
    steps = int(total.sum())
    kappa = float(_kappas(total[None])[0]) if steps else float("nan")
    low, high = _interval(used)
    defined = np.isfinite(kappa)
    return Agreement(
        takes=len(used),
        steps=steps,
        agreed=float(np.trace(total)) / steps if steps else 0.0,
        kappa=kappa if defined else None,
        low=low if defined else None,
        high=high if defined else None,
    )


def _kappas(tables: NDArray[Any]) -> NDArray[np.float64]:
    """Kappa of each table of counts; NaN where chance alone agrees fully."""
    total = tables.sum(axis=(1, 2)).astype(float)
    observed = np.trace(tables, axis1=1, axis2=2) / total
    by_chance = (tables.sum(axis=1) * tables.sum(axis=2)).sum(axis=1) / total**2
    with np.errstate(invalid="ignore", divide="ignore"):
        kappas: NDArray[np.float64] = (observed - by_chance) / (1 - by_chance)
    kappas[by_chance >= 1 - 1e-12] = np.nan
    return kappas


def _interval(tables: Counts) -> tuple[float | None, float | None]:
    takes = len(tables)
    if takes < 2:
        return None, None
    draws = np.random.default_rng(_SEED).multinomial(takes, [1 / takes] * takes, RESAMPLES)
    flat = tables.reshape(takes, -1)
    kappas = _kappas((draws @ flat).reshape(RESAMPLES, *tables.shape[1:]))
    kappas = kappas[np.isfinite(kappas)]
    if not len(kappas):
        return None, None
    low, high = np.quantile(kappas, [0.025, 0.975])
    return float(low), float(high)
