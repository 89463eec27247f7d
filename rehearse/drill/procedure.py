"""A drill's sayings as a procedure, for what hears and judges procedures."""

from __future__ import annotations

from collections.abc import Iterable

from rehearse.book.model import PassRule, Procedure, Step
from rehearse.drill.model import Drill


def procedure_of(drill: Drill, name: str, steps: Iterable[Step]) -> Procedure:
    """The steps, in any order, under the drill's own data and words."""
    return Procedure(
        id=name,
        title=drill.title,
        aircraft=drill.aircraft,
        positions=drill.positions,
        language=drill.language,
        revision=drill.revision,
        order="free",
        pass_rule=PassRule(),
        steps=tuple(steps),
        lexicon=drill.lexicon,
    )
