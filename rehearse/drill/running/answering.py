"""Answers judged while a drill goes on, so that the runner knows how a stage stands."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.drill.model import Answer, Drill, Stage
from rehearse.drill.running.standing import Standing
from rehearse.drill.scoring.kinds import Sorted, shouted, sort
from rehearse.drill.scoring.meant import Meant, nothing_meant
from rehearse.drill.scoring.shouts import sayings
from rehearse.drill.values import Kind
from rehearse.events import Heard
from rehearse.language import Language


class Answering:
    """Meets `rehearse.drill.running.runner.Hears`.

    language: with the operator's own words. meant: judges the answers that are no commands.
    """

    def __init__(self, drill: Drill, language: Language, meant: Meant = nothing_meant) -> None:
        self._drill = drill
        self._language = language
        self._meant = meant
        self._wordings = shouted(drill)

    def standing(self, stage: Stage, since: float, heards: Sequence[Heard]) -> Standing:
        """How a stage stands whose cue began at `since`, after what was heard."""
        said = [s for s in sayings(heards, self._wordings, self._language) if s.start >= since]
        found = [sort(one, self._drill, stage) for one in said]
        meant = self._meant(stage, [heard for heard in heards if heard.start >= since])
        answered = all(
            _went_on(answer, found, stage) if answer.command else meant.right(answer.id)
            for answer in stage.answers
        )
        wrong = meant.forbidden or any(one.kind is Kind.FORBIDDEN for one in found)
        return Standing(answered, wrong)


def _went_on(answer: Answer, found: Sequence[Sorted], stage: Stage) -> bool:
    """Whether an answer was said rightly, and for as long as it must."""
    name = f"{stage.id}.{answer.id}"
    right = [one.said for one in found if one.kind is Kind.ANSWER and one.answer == name]
    return bool(right) and right[-1].end - right[0].start >= answer.lasts
