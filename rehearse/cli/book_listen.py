"""What `book listen` does, and `book lint --listen`."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from rehearse.authoring.heard import Hear, Listened, listened, misheard
from rehearse.authoring.unheard import unheard_advice
from rehearse.authoring.voices import SpeakingVoice, voices_for
from rehearse.book import reader
from rehearse.book.advice import Advice
from rehearse.book.faults import shown
from rehearse.book.model import Procedure
from rehearse.cli.common import NOT_PASSED, PASSED, say
from rehearse.events import Heard
from rehearse.hear.listener import listen
from rehearse.hear.recording import Recording
from rehearse.hear.vosk import Vosk
from rehearse.safety import NOTICE
from rehearse.screen import waiting
from rehearse.session.engine import Engine, load_engine
from rehearse.weights.vosk_models import find_model


def listen_(options: argparse.Namespace) -> int:
    """Say each step with several voices and tell how it is heard."""
    procedures = [reader.read(path) for path in options.files]
    status = PASSED
    ears = Ears()
    with waiting("loading the models") as told:
        for procedure in procedures:
            say(f"{procedure.path}: {procedure.title}, said by synthetic voices")
            for found in ears.listened(procedure):
                told(f"listening to {procedure.id}")
                for line in _lines(found):
                    say(line)
                if list(misheard(found)):
                    status = NOT_PASSED
    say("Synthetic voices are a stand-in: people in your rooms are heard otherwise.")
    say(NOTICE)
    return status


class Ears:
    """The project's own hearing, loaded once for each language, for texts that voices say."""

    def __init__(self) -> None:
        self._engine = cache(load_engine)
        self._vosk = cache(Vosk)

    def unheard(self, procedure: Procedure) -> list[Advice]:
        """Advice on words that a model of the language, if one was added, does not know."""
        place = find_model(procedure.language)
        if place is None:
            return []
        vocabulary = self._vosk(place, procedure.language).vocabulary
        return list(unheard_advice(procedure, vocabulary.lacking))

    def listened(self, procedure: Procedure) -> Iterator[Listened]:
        """Each step as several voices say it. Raises VoiceError when there is no voice."""
        voices = voices_for(procedure.language)
        with tempfile.TemporaryDirectory(prefix="rehearse-") as folder:
            engine = self._engine(procedure.language)
            hear = _hearing(engine, procedure, Path(folder) / "said.wav")
            yield from listened(procedure, voices, hear, engine.assessor(procedure))


def _hearing(engine: Engine, procedure: Procedure, path: Path) -> Hear:
    expectation = engine.expectation(procedure)
    language = engine.language_of(procedure)

    def hear(text: str, voice: SpeakingVoice) -> list[Heard]:
        voice.say(text, path)
        events = listen(Recording(path), engine.recogniser, expectation, language)
        return [event for event in events if isinstance(event, Heard)]

    return hear


def _lines(found: Listened) -> Iterator[str]:
    kind = " [command]" if found.step.command else " [critical]" if found.step.critical else ""
    of = len(found.trials)
    yield f"  {found.step.id}{kind}: credited in {found.credited} of {of} voices"
    for trial in found.trials:
        if not trial.credited:
            verdict = trial.verdict.value.replace("_", " ")
            yield f"    {trial.voice}: {verdict}, heard as {shown(trial.heard)}"
    if found.lost:
        yield f"    not heard in half of them: {', '.join(found.lost)}"
