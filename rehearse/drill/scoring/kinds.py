"""What a saying is in the stage in which it came: an answer, a forbidden one, an old one. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.drill.model import Answer, Drill, Stage
from rehearse.drill.scoring.shouts import Said
from rehearse.drill.values import Kind
from rehearse.judge.verdict import Verdict


@dataclass(frozen=True)
class Sorted:
    """A saying with what it is. answer: "stage.answer" it was meant as; "" for none."""

    said: Said
    kind: Kind
    answer: str = ""


def shouted(drill: Drill) -> tuple[str, ...]:
    """Every wording that is judged word by word; what must never be said comes first."""
    never = (text for stage in drill.stages for text in stage.never)
    answers = (
        text
        for stage in drill.stages
        for answer in stage.answers
        if answer.command
        for text in answer.wordings
    )
    return tuple(dict.fromkeys((*never, *answers)))


def sort(said: Said, drill: Drill, stage: Stage | None, *, too_late: bool = False) -> Sorted:
    """What a saying is.

    stage: in which it began; None before the first cue.
    too_late: it began after the time in which what the stage silences might still be said.
    """
    own = _answer(said, stage)
    right = said.verdict is Verdict.SAID
    if not said.wording:
        return Sorted(said, Kind.OTHER)
    if stage is not None and said.wording in stage.never and right:
        return Sorted(said, Kind.FORBIDDEN)
    if own:
        return Sorted(said, Kind.ANSWER if right else Kind.FLAWED, own)
    if not right:
        return Sorted(said, Kind.OTHER)
    elsewhere = list(_elsewhere(said, drill))
    if not elsewhere:
        return Sorted(said, Kind.OTHER)
    silenced = [name for name in elsewhere if stage is not None and name in stage.silences]
    kind = Kind.STALE if silenced and too_late else Kind.EARLIER
    return Sorted(said, kind, (silenced or elsewhere)[0])


def _answer(said: Said, stage: Stage | None) -> str:
    """The answer of the stage that has this wording; "" when none has."""
    answers: tuple[Answer, ...] = () if stage is None else stage.answers
    named = (f"{stage.id}.{a.id}" for a in answers if stage and said.wording in a.wordings)
    return next(named, "")


def _elsewhere(said: Said, drill: Drill) -> Iterator[str]:
    for stage in drill.stages:
        for answer in stage.answers:
            if said.wording in answer.wordings:
                yield f"{stage.id}.{answer.id}"
