"""Procedures said by synthetic voices: as written, a critical step left out, one turned round."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import soundfile

from rehearse.authoring.voices import voices_for
from rehearse.bench.corpus import GAP, spoken
from rehearse.bench.drill_voices import Shouter, Synthetic
from rehearse.bench.rates import CREDITED, Rate
from rehearse.book.model import Procedure, Step
from rehearse.events import Heard
from rehearse.hear.listener import listen
from rehearse.hear.recogniser import RATE
from rehearse.hear.recording import Recording
from rehearse.judge.verdict import Result
from rehearse.language import Language
from rehearse.session.engine import Engine

TURNED = 2  # opposites of a critical step that each voice says; the text alone is tried with all
BEFORE = 0.3  # seconds of silence before each sentence
LOUDER = 10.0  # a voice near the microphone, over the clips' own level of a calm voice far away

VoicesOf = Callable[[Procedure], Sequence[Shouter]]


@dataclass(frozen=True)
class Rehearsal:
    """What came of one procedure in one voice.

    voice: "" for the bare text. said: steps credited of the canonical take; `unsaid` those not.
    passed: whether that take passed. tried: takes with a critical step left out or turned round.
    credited: of these, each whose step was credited all the same, as step and words.
    """

    procedure: Procedure
    voice: str
    said: int
    unsaid: tuple[str, ...]
    passed: bool
    tried: int
    credited: tuple[str, ...]


def rehearse_all(
    procedures: Sequence[Procedure], engine_for: Callable[[str], Engine], voices_of: VoicesOf
) -> Iterator[Rehearsal]:
    """Every procedure as bare text and then in each of its voices.

    engine_for: the models for a language, loaded once.

    Raises:
        VoiceError: no speech program is installed, or one fails.
        SoundError: a clip is missing or cannot be used.
    """
    for procedure in procedures:
        engine = engine_for(procedure.language)
        yield _Trainee(procedure, engine, None).rehearsal()
        for voice in voices_of(procedure):
            yield _Trainee(procedure, engine, voice).rehearsal()


def synthetic(most: int) -> VoicesOf:
    """Up to so many voices of speech programs, by the procedure's language; 0 for none."""

    def voices(procedure: Procedure) -> list[Synthetic]:
        found = voices_for(procedure.language)[:most] if most else ()
        return [Synthetic(voice) for voice in found]

    return voices


def texts(procedure: Procedure, language: Language) -> list[str]:
    """Everything that a voice must say of a procedure, each once."""
    said = [
        text
        for step in procedure.steps
        for text in (step.say, *(_opposites(step, language)[:TURNED] if step.critical else ()))
    ]
    return list(dict.fromkeys(said))


class _Trainee:
    """Says a procedure in one voice, or as bare text."""

    def __init__(self, procedure: Procedure, engine: Engine, voice: Shouter | None) -> None:
        self._procedure, self._engine, self._voice = procedure, engine, voice
        self._language = engine.language_of(procedure)
        self._expectation = engine.expectation(procedure)

    def rehearsal(self) -> Rehearsal:
        """All takes of the procedure."""
        steps = self._procedure.steps
        said = {step.id: self._uttered(step.say) for step in steps}
        right = self._judged([said[step.id] for step in steps])
        unsaid = tuple(step.id for step in right.steps if step.verdict not in CREDITED)
        tried = 0
        credited: list[str] = []
        for step in steps:
            wrong = _opposites(step, self._language)[: TURNED if self._voice else None]
            for text in ("", *wrong) if step.critical else ():
                faulty = self._uttered(text) if text else []
                result = self._judged([faulty if s is step else said[s.id] for s in steps])
                tried += 1
                if result.step(step.id).verdict in CREDITED:
                    credited.append(f"{step.id}: {text or 'left out'}")
        voice = self._voice.name if self._voice else ""
        return Rehearsal(
            self._procedure,
            voice,
            len(steps) - len(unsaid),
            unsaid,
            right.passed,
            tried,
            tuple(credited),
        )

    def _uttered(self, text: str) -> list[Heard]:
        """What is heard when the text is said."""
        if self._voice is None:
            return list(spoken((text,)))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "said.wav"
            silence = np.zeros(int(BEFORE * RATE), np.float32)
            sound = self._voice.say(text).sound * np.float32(LOUDER)
            soundfile.write(path, np.concatenate([silence, sound]), RATE)
            events = listen(
                Recording(path), self._engine.recogniser, self._expectation, self._language
            )
            return [event for event in events if isinstance(event, Heard)]

    def _judged(self, said: Sequence[Sequence[Heard]]) -> Result:
        """The verdicts on the utterances, one after the other."""
        assessor = self._engine.assessor(self._procedure)
        begin = 0.0
        for heards in said:
            for heard in heards:
                assessor.add(_later(heard, begin))
            begin += max((heard.end for heard in heards), default=0.0) + GAP
        return assessor.result()


def _opposites(step: Step, language: Language) -> list[str]:
    """What must not pass for the step: forbidden wordings, and its own with a slot flipped."""
    wrong = dict.fromkeys((*step.never, *language.contrasts(step.say)))
    return [text for text in wrong if text not in step.wordings]


def _later(heard: Heard, seconds: float) -> Heard:
    words = tuple(
        replace(word, start=word.start + seconds, end=word.end + seconds) for word in heard.words
    )
    return replace(heard, start=heard.start + seconds, end=heard.end + seconds, words=words)


def lines(rehearsals: Iterator[Rehearsal]) -> Iterator[str]:
    """The outcome of each as plain text, as soon as it is known, and the sums."""
    steps = said = tried = 0
    takes = passed = 0
    credited: list[str] = []
    for now in rehearsals:
        steps += len(now.procedure.steps)
        said += now.said
        tried += now.tried
        takes += 1
        passed += now.passed
        credited += now.credited
        voice = now.voice or "text"
        yield (
            f"{now.procedure.aircraft} {now.procedure.id}, {voice}: "
            f"{now.said} of {len(now.procedure.steps)} steps said, "
            f"{'passed' if now.passed else 'not passed'}; "
            f"{len(now.credited)} of {now.tried} faulty takes credited"
        )
        yield from (f"    not said: {step}" for step in now.unsaid)
        yield from (f"    credited: {what}" for what in now.credited)
    yield ""
    yield f"steps said as written, credited:              {Rate(said, steps)}"
    yield f"takes as written, passed:                     {Rate(passed, takes)}"
    yield f"critical step left out or turned round, credited: {Rate(len(credited), tried)}"
