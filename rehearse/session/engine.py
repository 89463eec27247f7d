"""Everything that is loaded once and serves many takes: the recogniser and the step judges."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.book.model import Procedure
from rehearse.coach.requests import phrases
from rehearse.hear.expectation import expect
from rehearse.hear.recogniser import Expectation, Recogniser
from rehearse.hear.whisper import Whisper
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.language import Language, load
from rehearse.weights.step_judge import StepJudge
from rehearse.weights.store import verified

SPEECH_MODEL = "whisper-base-int8"


@dataclass(frozen=True)
class Engine:
    """The loaded models. The recogniser hears one language."""

    recogniser: Recogniser
    readers: Readers

    def expectation(self, procedure: Procedure) -> Expectation:
        """What the recogniser should expect of a trainee who says this procedure."""
        return expect(procedure, self.language_of(procedure), phrases(procedure.language))

    def language_of(self, procedure: Procedure) -> Language:
        """The language with the operator's own words for this procedure."""
        return load(procedure.language).added(procedure.words)

    def assessor(self, procedure: Procedure) -> Assessor:
        """A judge for one take of the procedure."""
        return Assessor(procedure, self.readers, load(procedure.language))


def load_readers() -> Readers:
    """Both step judges. Raises ModelError when one is missing or altered."""
    return Readers(StepJudge("step-judge-mpnet"), StepJudge("step-judge-minilm"))


def load_engine(language: str) -> Engine:
    """All models, to hear one language.

    Raises:
        ModelError: one is missing or altered, or the speech model does not know the language.
    """
    return Engine(Whisper(verified(SPEECH_MODEL), language), load_readers())
