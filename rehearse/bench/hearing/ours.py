"""Our own pipeline: end-pointed, confirmed, and judged as a take of that one utterance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from time import process_time

import numpy as np
import numpy.typing as npt

from rehearse.bench.corpus import spoken
from rehearse.bench.hearing.pipelines import OURS, THREADS, Outcome
from rehearse.bench.plain import standing
from rehearse.book.model import Procedure, Step
from rehearse.events import Ghost, Heard
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Endpointer, Segment
from rehearse.hear.recogniser import Recogniser, Sound
from rehearse.hear.voice import SileroVoice, VoiceActivity
from rehearse.hear.whisper import Whisper
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Meaning, Readers
from rehearse.session.engine import SPEECH_MODEL, Engine
from rehearse.weights.step_judge import StepJudge
from rehearse.weights.store import verified


class Ours:
    """Loads the models for one thread; procedures are made ready once each.

    Raises:
        ModelError: a model is missing or altered.
    """

    name = OURS

    def __init__(self, engine: Engine | None = None, voice: VoiceActivity | None = None) -> None:
        engine = engine or _engine()
        self._memories = _Afresh(engine.readers.careful), _Afresh(engine.readers.quick)
        self._engine = replace(engine, readers=Readers(*self._memories))
        self._voice = voice or SileroVoice()
        self._ready: dict[str, tuple[Confirmer, Assessor]] = {}

    def hear(self, sound: Sound, procedure: Procedure, step: Step) -> Outcome:
        """The step's verdict in a take that holds only what is heard of this sound."""
        confirmer, _ = self._of(procedure)
        began = process_time()
        self._voice.reset()
        endpointer = Endpointer(self._voice)
        found = [*endpointer.feed(sound), *endpointer.finish()]
        delay = 0.0
        events: list[Heard | Ghost] = []
        segments = [item for item in found if isinstance(item, Segment)]
        for segment in segments:
            asked = process_time()
            events.append(confirmer.confirm(segment))
            delay = max(delay, process_time() - asked)
        cost = process_time() - began
        heards = [event for event in events if isinstance(event, Heard)]
        judged = self._judged(heards, procedure, step)
        supports = [
            _support(event, segment, self._engine.recogniser)
            for event, segment in zip(events, segments, strict=True)
        ]
        return Outcome(
            heard=" ".join(event.text for event in heards),
            free=" ".join(event.free if isinstance(event, Heard) else event.text
                          for event in events),
            verdict=judged.verdict,
            score=judged.score,
            delay=delay,
            cost=cost,
            judging=judged.judging,
            support=min((value for value in supports if value is not None), default=None),
            checks=tuple(check for event in heards for check in event.checks or ()),
        )  # fmt: skip

    def judge(self, text: str, procedure: Procedure, step: Step) -> Outcome:
        """What the judge makes of the bare text."""
        return self._judged(spoken((text,)), procedure, step)

    def _judged(self, heards: Sequence[Heard], procedure: Procedure, step: Step) -> Outcome:
        _, assessor = self._of(procedure)
        for memory in self._memories:
            memory.forget()
        began = process_time()
        assessor.restart()
        for heard in heards:
            assessor.add(heard)
        result = assessor.result().step(step.id)
        text = " ".join(heard.text for heard in heards)
        spent = process_time() - began
        score = round(standing(result), 4)
        return Outcome(text, text, result.verdict.value, score, 0.0, 0.0, spent)

    def _of(self, procedure: Procedure) -> tuple[Confirmer, Assessor]:
        known = self._ready.get(procedure.id)
        if known is None:
            engine = self._engine
            expectation, language = engine.expectation(procedure), engine.language_of(procedure)
            confirmer = Confirmer(engine.recogniser, expectation, language)
            known = self._ready[procedure.id] = confirmer, engine.assessor(procedure)
        return known


def _engine() -> Engine:
    recogniser = Whisper(verified(SPEECH_MODEL), "en", THREADS)
    careful = StepJudge("step-judge-mpnet", remembered=1, threads=THREADS)
    quick = StepJudge("step-judge-minilm", remembered=1, threads=THREADS)
    return Engine(recogniser, Readers(careful, quick))


class _Afresh:
    """A reader that remembers no more than one take's pairs, as if every take were its first.

    The benchmark judges like texts again and again; remembered ones would cost nothing.
    """

    def __init__(self, reader: Meaning) -> None:
        self._reader = reader
        self._known: dict[tuple[str, str], npt.NDArray[np.float32]] = {}

    def forget(self) -> None:
        """The next take is like the first."""
        self._known.clear()

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """As `rehearse.judge.meaning.Meaning` asks."""
        missing = [pair for pair in dict.fromkeys(pairs) if pair not in self._known]
        self._known.update(zip(missing, self._reader.said(missing), strict=True))
        rows = [self._known[pair] for pair in pairs]
        return np.stack(rows) if rows else np.empty((0, 4), np.float32)


def _support(event: Heard | Ghost, segment: Segment, recogniser: Recogniser) -> float | None:
    """Nats a token of what was heard, or of what was refused; None when there were no words."""
    if isinstance(event, Heard):
        return event.support
    return recogniser.evidence(segment.sound, event.text) if event.text else None
