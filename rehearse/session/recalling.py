"""A recall drill on real devices, or from recordings and words files without a person."""

from __future__ import annotations

import queue
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from rehearse import __version__, events
from rehearse.coach.requests import phrases
from rehearse.errors import RehearseError
from rehearse.events import Event, Heard, PromptEnded, PromptStarted
from rehearse.hear.expectation import expect
from rehearse.hear.listener import LiveListener, listen
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE, Expectation, Sound
from rehearse.hear.recording import Recording
from rehearse.judge.verdict import Result
from rehearse.language import Language, load
from rehearse.record import place
from rehearse.record.log import Log
from rehearse.record.take import takes_folder
from rehearse.register.drill import Drill, Score
from rehearse.register.expected import expected
from rehearse.register.meaning import as_procedure
from rehearse.register.model import Register
from rehearse.register.question import Form, Question
from rehearse.safety import NOTICE
from rehearse.session.clock import SoundClock
from rehearse.session.engine import Engine
from rehearse.session.practise import Happenings, Practice, Show, Tell
from rehearse.session.quiet import libraries_quiet
from rehearse.session.studio import Choices, Running, minding_devices
from rehearse.speak.player import Loudspeaker
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice


@dataclass(frozen=True)
class NoSteps:
    """The judge of a drill: its answers are scored by the drill itself, question by question."""

    result_: Result

    def add(self, _heard: Heard) -> None:
        """Nothing: see the class."""

    def restart(self) -> None:
        """Nothing: see the class."""

    def result(self) -> Result:
        """Never any step."""
        return self.result_


def heard_in(
    recording: Path, question: Question, register: Register, engine: Engine
) -> tuple[Heard, ...]:
    """What is said in a recording that answers the question. Raises SoundError."""
    language = load(register.language)
    expectation = _expectation((question,), register, language)
    found = listen(Recording(recording), engine.recogniser, expectation, language)
    return tuple(event for event in found if isinstance(event, Heard))


def recall(
    register: Register,
    questions: Sequence[Question],
    score: Score,
    engine: Engine,
    choices: Choices,
    *,
    show: Show,
    tell: Tell,
) -> tuple[Drill, Path]:
    """One drill at the microphone; the drill as it ended, and the log of what happened.

    show: told every event. tell: told what a person should know and mend.

    Raises:
        RehearseError: no microphone, a device that fails, or a folder that cannot be written.
    """
    drill = Drill(register, tuple(questions), score)
    with libraries_quiet():
        choices = minding_devices(choices, tell)
        source = Running(Microphone(choices.microphone))
        try:
            started = datetime.now(UTC)
            folder = place.new_folder(choices.takes or takes_folder(), started, "recall")
            log = Log(folder / "recall.jsonl")
            log.append(_header(drill, started))
        except RehearseError:
            source.close()
            raise
        with closing(log):
            return _run(drill, engine, choices, source, log, show=show, tell=tell), folder


def _header(drill: Drill, started: datetime) -> dict[str, object]:
    """What was asked, so that the log can be understood without the register."""
    return {
        "drill": "recall",
        "aircraft": drill.register.aircraft,
        "revision": drill.register.revision.number,
        "questions": [question.id for question in drill.questions],
        "started": started.isoformat(timespec="milliseconds"),
        "tool": __version__,
        "notice": NOTICE,
    }


@dataclass(frozen=True)
class Kept:
    """Writes events into a drill's log."""

    log: Log

    def write(self, event: Event) -> None:
        """One more event. Raises StoreError."""
        self.log.append(events.to_json(event))


def _run(
    drill: Drill,
    engine: Engine,
    choices: Choices,
    source: Running,
    log: Log,
    *,
    show: Show,
    tell: Tell,
) -> Drill:
    happenings: Happenings = queue.SimpleQueue()
    clock = SoundClock()

    def keep(sound: Sound) -> None:
        clock.advance(sound.size / RATE)

    language = load(drill.register.language)
    expectation = _expectation(drill.questions, drill.register, language)
    ears = LiveListener(
        source, engine.recogniser, expectation, language, emit=happenings.put, keep=keep
    )

    def prompted(event: PromptStarted | PromptEnded) -> None:
        if not choices.headset:
            (ears.mute if isinstance(event, PromptStarted) else ears.unmute)()
        happenings.put(event)

    voice = Voice(drill.register.language)
    practice = Practice(
        coach=drill,
        assessor=NoSteps(Result("recall", drill.register.revision.number, False, (), ())),
        ears=ears,
        speaker=Speaker(voice, Loudspeaker(choices.loudspeaker), clock, prompted),
        writer=Kept(log),
        happenings=happenings,
        clock=clock,
        show=show,
        tell=tell,
    )
    with closing(voice), _interrupting(practice.interrupt):
        practice.run()
        return practice.coach


@contextmanager
def _interrupting(interrupt: Callable[[], None]) -> Iterator[None]:
    """Ctrl-C asks for the end while this lasts."""
    before = signal.signal(signal.SIGINT, lambda *_: interrupt())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _expectation(
    questions: Sequence[Question], register: Register, language: Language
) -> Expectation:
    """What may be said: every name that could be an answer, right or wrong, alike."""
    own = phrases(register.language)
    wordings = list(expected(register, {question.form for question in questions}))
    contrasts: list[str] = []
    for question in questions:
        if question.form is Form.SENTENCE:
            found = expect(as_procedure(question, register), language)
            wordings += found.wordings
            contrasts += found.contrasts
    said = tuple(dict.fromkeys((*wordings, *own)))
    others = tuple(text for text in dict.fromkeys(contrasts) if text not in said)
    return Expectation(register.language, said, others)
