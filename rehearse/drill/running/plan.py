"""What the seed decides before a drill begins: every wait and every branch. Pure."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass

from rehearse.drill.model import END, Branch, Drill, Outcome, Stage


@dataclass(frozen=True)
class Planned:
    """A stage with nothing left to chance.

    wait: seconds from its beginning to its cue. then: what follows each outcome, an id or `END`.
    """

    wait: float
    then: Mapping[Outcome, str]


def plan(drill: Drill, seed: int) -> Mapping[str, Planned]:
    """By stage id. The same drill and seed give the same plan on every machine."""
    return {stage.id: _planned(stage, seed) for stage in drill.stages}


def _planned(stage: Stage, seed: int) -> Planned:
    # Each stage draws from a source of its own: an added stage leaves the others as they were.
    draw = random.Random(f"{seed} {stage.id}")  # noqa: S311 - chance, not secrecy
    wait = round(draw.uniform(stage.cue.wait.low, stage.cue.wait.high), 2)
    return Planned(wait, {outcome: _drawn(stage, outcome, draw) for outcome in Outcome})


def _drawn(stage: Stage, outcome: Outcome, draw: random.Random) -> str:
    open_to: list[Branch] = [branch for branch in stage.then if outcome in branch.on]
    if not open_to:
        return END
    (chosen,) = draw.choices(open_to, [branch.chance for branch in open_to])
    return chosen.to
