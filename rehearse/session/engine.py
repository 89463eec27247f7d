"""Everything that is loaded once and serves many takes: the recogniser and the step judges."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.authoring.unheard import unheard_line
from rehearse.book.model import Procedure
from rehearse.coach.requests import phrases
from rehearse.errors import ModelError
from rehearse.hear.expectation import expect
from rehearse.hear.paired import Paired
from rehearse.hear.recogniser import Expectation, Recogniser
from rehearse.hear.vosk import Vosk
from rehearse.hear.whisper import Whisper
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.language import Language, load
from rehearse.weights.step_judge import StepJudge
from rehearse.weights.store import present, verified
from rehearse.weights.vosk_models import find_model

SPEECH_MODEL = "whisper-base-int8"


@dataclass(frozen=True)
class Engine:
    """The loaded models. The recogniser hears one language."""

    recogniser: Recogniser
    readers: Readers

    def expectation(self, procedure: Procedure) -> Expectation:
        """What the recogniser should expect of a trainee who says this procedure."""
        return expectation_of(procedure)

    def unheard(self, procedure: Procedure) -> str:
        """A line on words of the procedure that cannot be heard; "" when all can."""
        if not isinstance(self.recogniser, Vosk):
            return ""
        return unheard_line(procedure, self.recogniser.vocabulary.lacking)

    def language_of(self, procedure: Procedure) -> Language:
        """The language with the operator's own words for this procedure."""
        return language_of(procedure)

    def assessor(self, procedure: Procedure) -> Assessor:
        """A judge for one take of the procedure."""
        return Assessor(procedure, self.readers, load(procedure.language))


def language_of(procedure: Procedure) -> Language:
    """The language of a procedure with the operator's own words for it."""
    return load(procedure.language).added(procedure.words)


def expectation_of(procedure: Procedure) -> Expectation:
    """What a recogniser should expect of a trainee who says this procedure."""
    return expect(procedure, language_of(procedure), phrases(procedure.language))


def load_readers() -> Readers:
    """Both step judges. Raises ModelError when one is missing or altered."""
    return Readers(StepJudge("step-judge-mpnet"), StepJudge("step-judge-minilm"))


def load_engine(language: str) -> Engine:
    """All models, to hear one language.

    Raises:
        ModelError: one is missing or altered, or the speech model does not know the language.
        RehearseError: the language is not built in.
    """
    return Engine(load_recogniser(language), load_readers())


def load_recogniser(language: str) -> Recogniser:
    """What hears a language: Whisper, with a Vosk model for live text where a user added one.

    Where Whisper is missing, or does not hear the language well, the Vosk model judges alone.

    Raises:
        ModelError: a model is altered or unusable, or there is none for the language.
    """
    place = find_model(language)
    if place is None:
        return Whisper(verified(SPEECH_MODEL), language)
    quick = Vosk(place, language)
    judges = quick.model.filler is not None  # without it, noise would be one of the listed texts
    if judges and not load(language).freely_heard:
        return quick
    try:
        return Paired(Whisper(verified(SPEECH_MODEL), language), quick)
    except ModelError:
        if judges and not present(SPEECH_MODEL):
            return quick
        raise
