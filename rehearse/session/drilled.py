"""A drill run on a recording, or any other source, without devices and in the sound's own time.

The recording begins with the drill's first stage and holds nothing but the trainee. Cues take no
sound: each begins when the plan has it begin and goes on as long as it would in a headset, and
what is understood is understood at once. A source may be told what happens and answer to it.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import count

import numpy as np

from rehearse.coach.actions import Action, Finish, GiveCue, Note, Say, Tick
from rehearse.cues.sounds import length
from rehearse.drill.model import Drill
from rehearse.drill.running.answering import Answering
from rehearse.drill.running.expected import RULE, expected
from rehearse.drill.running.runner import Runner
from rehearse.drill.scoring.meant import ByMeaning
from rehearse.drill.scoring.score import score
from rehearse.drill.values import NO_BASELINE, DrillResult, Run
from rehearse.events import (
    CueEnded,
    CueStarted,
    Ended,
    Event,
    Heard,
    Partial,
    PromptEnded,
    PromptStarted,
)
from rehearse.hear.listener import listen
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk, Source
from rehearse.judge.verdict import Result
from rehearse.language import Language, load
from rehearse.measured import Measured
from rehearse.session.engine import Engine
from rehearse.speak.cast import WORDS_PER_MINUTE

PIECE = RATE // 20  # samples that are heard at a time, and how often the runner looks at the clock
BETWEEN = 0.25  # seconds from the sound of a cue to its words
NO_LATENCY = Measured(0.0)  # a recording has no devices


@dataclass(frozen=True, eq=False)
class Recorded:
    """A run with the sound that was heard in it, mono at `RATE`."""

    run: Run
    sound: Sound


def language_of(drill: Drill) -> Language:
    """The drill's language with the operator's own words."""
    return load(drill.language).added(drill.lexicon)


def drilled(
    drill: Drill, seed: int, source: Source, engine: Engine, calm: Measured = NO_BASELINE
) -> DrillResult:
    """The result of a recording of a drill.

    calm: the speaker's calm level in it, dB over full scale.

    Raises:
        SoundError: the source cannot be used.
    """
    made = recorded(drill, seed, source, engine, calm=calm)
    return score(made.run, made.sound, language_of(drill), ByMeaning(drill, engine.assessor))


def recorded(
    drill: Drill,
    seed: int,
    source: Source,
    engine: Engine,
    *,
    calm: Measured = NO_BASELINE,
    told: Callable[[Event], None] = lambda _event: None,
    keep: Callable[[Sound], None] = lambda _sound: None,
) -> Recorded:
    """The drill run on a source until it is over or the source ends.

    told: given every event as it is logged, before later sound is asked for of a source whose
        chunks are short. keep: given the sound as it is heard.

    Raises:
        SoundError: the source cannot be used.
    """
    language = language_of(drill)
    hears = Answering(drill, language, ByMeaning(drill, engine.assessor))
    room = _Room(Runner(drill, seed, hears, headset=True, introduced=True), told)
    pieces: list[Sound] = []

    def heard(chunk: Chunk) -> None:
        pieces.append(chunk.samples)
        keep(chunk.samples)
        room.wait(chunk.time + chunk.samples.size / RATE)

    paced = _Paced(source, heard)
    found = listen(paced, engine.recogniser, expected(drill, language), language, RULE)
    with closing(_closable(found)) as events:
        for event in events:
            room.happen(event)
            if room.over:
                break
    sound = np.concatenate([*pieces, np.zeros(0, np.float32)])
    run = Run(drill, seed, True, calm, NO_LATENCY, tuple(room.events))
    return Recorded(run, sound)


def _closable(events: Iterator[Event]) -> Generator[Event, None, None]:
    yield from events


def cue_seconds(cue: GiveCue) -> float:
    """How long a cue goes on, by its sound's length and the pace of the cast."""
    sound = length(cue.sound, cue.holds) if cue.sound else 0.0
    words = len(cue.says.split()) * 60 / WORDS_PER_MINUTE
    return round(sound + words + (BETWEEN if sound and words else 0.0), 3)


class _Paced:
    """A source given on in small pieces, each told before it is heard."""

    def __init__(self, source: Source, heard: Callable[[Chunk], None]) -> None:
        self.name = source.name
        self._source = source
        self._heard = heard

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound, from its beginning."""
        with closing(self._source.chunks()) as chunks:
            for chunk in chunks:
                for at in range(0, chunk.samples.size, PIECE):
                    samples = chunk.samples[at : at + PIECE]
                    lost = chunk.lost if at == 0 else None
                    piece = Chunk(samples, chunk.time + at / RATE, lost)
                    self._heard(piece)
                    yield piece


class _Room:
    """Runner, cues and clock: what the devices and the loop are when a drill is live."""

    def __init__(self, runner: Runner, told: Callable[[Event], None]) -> None:
        self._runner = runner
        self._told = told
        self._now = 0.0
        self._due: list[tuple[float, int, Event]] = []
        self._number = count()
        self._nothing = Result(runner.drill.id, runner.drill.revision.number, False, (), ())
        self.events: list[Event] = []

    @property
    def over(self) -> bool:
        """The drill has ended."""
        return self._runner.over

    def wait(self, until: float) -> None:
        """Time goes by until that second of the sound; what is due comes at its time."""
        while self._due and self._due[0][0] <= until and not self.over:
            self._now, _, event = heapq.heappop(self._due)
            self.happen(event)
        self._now = until
        if not self.over:
            self._step(Tick(until))

    def happen(self, event: Event) -> None:
        """Something happens now."""
        if self.over:
            return
        if isinstance(event, Heard):
            event = self._runner.read(event)
        if not isinstance(event, Partial | Ended | PromptStarted | PromptEnded):
            self._log(event)
        self._step(event)

    def _step(self, event: Event | Tick) -> None:
        self._runner, actions = self._runner.step(self._now, event, self._nothing)
        for action in actions:
            self._do(action)

    def _do(self, action: Action) -> None:
        match action:
            case Say(text=text, purpose=purpose):
                self.happen(PromptStarted(self._now, text, purpose.value))
                self.happen(PromptEnded(self._now))
            case GiveCue(stage=stage, told=told):
                self._later(self._now, CueStarted(self._now, stage, told))
                ended = round(self._now + cue_seconds(action), 3)
                self._later(ended, CueEnded(ended, stage))
            case Note(event=decided):
                self._log(decided)
            case Finish(why=why):
                self._log(Ended(self._now, why))

    def _later(self, when: float, event: Event) -> None:
        heapq.heappush(self._due, (when, next(self._number), event))

    def _log(self, event: Event) -> None:
        self.events.append(event)
        self._told(event)
