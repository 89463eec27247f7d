"""Where the habits of one aircraft mislead on another: the same question, another answer; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.judge.verdict import Extra, Result
from rehearse.register.asking import questions
from rehearse.register.drill import Score
from rehearse.register.model import Kind, Register
from rehearse.register.phrasing import phrasing
from rehearse.register.question import Form, Question


@dataclass(frozen=True)
class Difference:
    """One question that two aircraft answer differently."""

    habit: Question
    here: Question


@dataclass(frozen=True)
class Topic:
    """Two procedures about the same, with the steps that only one of them has so."""

    habit: Procedure
    here: Procedure
    gone: tuple[Step, ...]
    new: tuple[Step, ...]


def differences(habit: Register, here: Register, position: str = "") -> tuple[Difference, ...]:
    """The questions both registers give rise to, and answer differently.

    position: only what concerns this crew position, or everybody.
    """
    known = {question.id: question for question in questions(habit)}
    both = ((known[q.id], q) for q in questions(here) if q.id in known)
    return tuple(
        Difference(one, other)
        for one, other in both
        if _content(one) != _content(other)
        and (not position or not other.positions or position in other.positions)
    )


def _content(question: Question) -> tuple[object, ...]:
    """What an answer amounts to, whatever order its parts are in."""
    numbered = question.form in {Form.KINDS, Form.NUMBER}
    named = (
        (part.bare.lower() if question.form is not Form.NUMBER else "", part.count * numbered)
        for part in question.parts
    )
    return tuple(sorted(named))


def only_on(one: Register, other: Register) -> tuple[Kind, ...]:
    """The kinds of equipment that only the first aircraft has."""
    known = {kind.id for kind in other.kinds}
    return tuple(kind for kind in one.kinds if kind.id not in known)


def topics(
    habit: Register, here: Register, procedures: Iterable[Procedure], position: str = ""
) -> tuple[Topic, ...]:
    """The procedures of both aircraft that say the same topic, and differ."""
    mine = [p for p in procedures if not position or not p.positions or position in p.positions]
    first: dict[str, Procedure] = {}
    for procedure in mine:
        if procedure.topic and procedure.aircraft == habit.aircraft:
            first.setdefault(procedure.topic, procedure)
    pairs = ((first[p.topic], p) for p in mine if p.aircraft == here.aircraft and p.topic in first)
    found = (Topic(one, two, _missing(one, two), _missing(two, one)) for one, two in pairs)
    return tuple(topic for topic in found if topic.gone or topic.new)


def _missing(one: Procedure, other: Procedure) -> tuple[Step, ...]:
    """The steps of the first whose sentence the other does not have."""
    said = {wording.lower() for step in other.steps for wording in step.wordings}
    return tuple(step for step in one.steps if step.say.lower() not in said)


@dataclass(frozen=True)
class Habits:
    """Scores answers for one aircraft, and notices the answers that are right on the other."""

    found: Sequence[Difference]
    habit: Register
    here: Register
    score_habit: Score
    score_here: Score

    def __call__(self, question: Question, heards: Sequence[Heard]) -> Result:
        """The verdict; an answer out of habit is told as such, as a dangerous extra."""
        result = self.score_here(question, heards)
        old = next((d.habit for d in self.found if d.here.id == question.id), None)
        if result.passed or old is None or not self.score_habit(old, heards).passed:
            return result
        words = phrasing(self.here.language)
        why = words.text("habit", aircraft=self.habit.name, here=self.here.name)
        said = " ".join(heard.text for heard in heards)
        extra = Extra(said, True, why, heards[0].start, heards[-1].end)
        return replace(result, extras=(extra, *result.extras))
