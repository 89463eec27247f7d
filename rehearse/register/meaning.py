"""Answers that are sentences: judged by meaning, as a step of a procedure is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from rehearse.book.lexicon import beside
from rehearse.book.model import PassRule, Procedure, Step
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.verdict import Result
from rehearse.register.model import Register
from rehearse.register.question import Form, Question
from rehearse.register.scoring import Answers

AssessorOf = Callable[[Procedure], Assessor]


class Scores:
    """Scores every form of answer about one register.

    assessor_of: makes a judge for a procedure; asked for only when a sentence is to be judged.
    """

    def __init__(self, register: Register, answers: Answers, assessor_of: AssessorOf) -> None:
        self._register = register
        self._answers = answers
        self._assessor_of = assessor_of

    def __call__(self, question: Question, heards: Sequence[Heard]) -> Result:
        """The verdict on every part of the answer.

        Raises:
            RehearseError: the judge of sentences cannot be loaded.
        """
        if question.form is not Form.SENTENCE:
            return self._answers.result(question, heards)
        assessor = self._assessor_of(as_procedure(question, self._register))
        for heard in heards:
            assessor.add(heard)
        return assessor.result()


def as_procedure(question: Question, register: Register) -> Procedure:
    """The question as a procedure: each part of its answer a critical step, in any order."""
    path = register.path or Path()
    return Procedure(
        id=question.id,
        title=question.ask,
        aircraft=register.aircraft,
        positions=(),
        language=register.language,
        revision=register.revision,
        order="free",
        pass_rule=PassRule(),
        steps=tuple(Step(part.id.lower(), part.name, critical=True) for part in question.parts),
        lexicon=beside(path, register.language),
    )
