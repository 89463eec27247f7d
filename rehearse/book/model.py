"""What a procedure is: typed, immutable values, with the order its steps must keep."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Literal

from rehearse.language.additions import NONE, Additions
from rehearse.language.lexicon import Contrast, form


@dataclass(frozen=True)
class Revision:
    """Which issue of the operator's text this is. `source` names the manual and paragraph."""

    number: int
    effective: date
    source: str


@dataclass(frozen=True)
class PassRule:
    """When a take of the procedure passes.

    critical: "all" when every critical step must be said, "none" when only the share counts.
    share: least share of all steps that must be said, 0..1.
    within: seconds from the first word to the last step, or None for no limit.
    """

    critical: Literal["all", "none"] = "all"
    share: float = 1.0
    within: float | None = None

    def least(self, steps: int) -> int:
        """How many of this many steps the share asks for."""
        return math.ceil(self.share * steps - 1e-9)  # 0.7 * 10 is a little over 7 in binary


@dataclass(frozen=True)
class Demands:
    """An author's corrections to what is asked of a step; each phrase is words of its sentence.

    named: phrases that must be said, though leaving them out might pass for a paraphrase.
    spare: phrases that need not be said; said otherwise they are still wrong.
    contrasts: phrases with what must not be said in their place.
    """

    named: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()
    contrasts: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class Step:
    """One thing to say.

    id: letters, digits and hyphens, unique in its procedure.
    say: the canonical sentence.
    critical: must never be credited unless it was said.
    command: shouted words, judged word by word instead of by meaning.
    also: other wordings that count as said.
    never: statements that must not be accepted; said as a claim they are a dangerous extra.
    after: ids this step must follow; None for the procedure's default (see `Procedure.order`).
    reason: why the step matters, for the trainee; "" when the file gives none.
    demands: what the author corrects in what the judge would demand by itself.
    """

    id: str
    say: str
    critical: bool = False
    command: bool = False
    also: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    after: tuple[str, ...] | None = None
    reason: str = ""
    demands: Demands = Demands()

    @property
    def wordings(self) -> tuple[str, ...]:
        """Every accepted wording, the canonical one first."""
        return (self.say, *self.also)


@dataclass(frozen=True)
class Procedure:
    """One procedure of one aircraft, as one file holds it.

    order: "strict": a step follows every step above it in the file, unless its `after` names
        what it follows instead (`after: []` for nothing). "free": a step follows only what its
        `after` names.
    topic: what it is about, the same word for every aircraft; "" when it says none.
    path: where it was read from; takes no part in comparing procedures.
    lexicon: the operator's own words, from the `lexicon.yaml` beside the file.
    """

    id: str
    title: str
    aircraft: str
    positions: tuple[str, ...]
    language: str
    revision: Revision
    order: Literal["strict", "free"]
    pass_rule: PassRule
    steps: tuple[Step, ...]
    topic: str = ""
    path: Path | None = field(default=None, compare=False)
    lexicon: Additions = field(default=NONE, hash=False)

    @cached_property
    def words(self) -> Additions:
        """What the procedure adds to its language: the operator's words, the steps' contrasts."""
        more = tuple(
            contrast(phrase, others)
            for step in self.steps
            for phrase, others in step.demands.contrasts
        )
        return self.lexicon.with_contrasts(more)

    @cached_property
    def predecessors(self) -> Mapping[str, frozenset[str]]:
        """For each step id, every id that must come before it, directly or through others."""
        direct: dict[str, set[str]] = {}
        above: list[str] = []
        for step in self.steps:
            if step.after is not None:
                direct[step.id] = set(step.after)
            else:
                direct[step.id] = set(above) if self.order == "strict" else set()
            above.append(step.id)
        closed = {step_id: set(before) for step_id, before in direct.items()}
        changed = True
        while changed:
            changed = False
            for before in closed.values():
                wider = before.union(*(closed.get(step_id, set()) for step_id in before))
                if wider != before:
                    before |= wider
                    changed = True
        return {step_id: frozenset(before) for step_id, before in closed.items()}

    def step(self, step_id: str) -> Step:
        """The step with this id. Raises KeyError when there is none."""
        for step in self.steps:
            if step.id == step_id:
                return step
        raise KeyError(step_id)


def contrast(phrase: str, others: tuple[str, ...]) -> Contrast:
    """A contrast set of its own: the phrase, and what must not be said in its place."""
    values = (phrase.lower(), *(other.lower() for other in others))
    return Contrast(f"demand: {values[0]}", values, (tuple(map(form, values)),), {}, frozenset())
