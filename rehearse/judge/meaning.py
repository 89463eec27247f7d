"""What the judge asks of a model that reads a step and an utterance side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt


class Meaning(Protocol):
    """A reader of meaning; `rehearse.weights.step_judge.StepJudge` is one."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """For each (step, utterance), shape (n, 4): said, incomplete, wrong, not said."""
        ...


@dataclass(frozen=True)
class Readers:
    """A careful reader, which decides, and a quick one, which picks what is worth its time."""

    careful: Meaning
    quick: Meaning


@dataclass(frozen=True)
class Reading:
    """One row of a reader's answer, by name."""

    said: float
    incomplete: float
    wrong: float
    not_said: float


def read(meaning: Meaning, pairs: Sequence[tuple[str, str]]) -> list[Reading]:
    """The reader's answers, one `Reading` a pair."""
    return [Reading(*map(float, row)) for row in meaning.said(pairs)]
