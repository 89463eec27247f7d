"""A take set up on real devices: microphone, voice, loudspeaker and the take's folder."""

from __future__ import annotations

import queue
import signal
from collections.abc import Callable, Generator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Generic

from rehearse.book.model import Procedure
from rehearse.coach.coach import Coach
from rehearse.coach.pace import Level
from rehearse.errors import RehearseError
from rehearse.events import Event, PromptEnded, PromptStarted
from rehearse.hear.listener import LiveListener
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk, Source
from rehearse.judge.verdict import Result
from rehearse.record.report import Report
from rehearse.record.retention import forget_sounds
from rehearse.record.take import Take, TakeWriter, takes_folder
from rehearse.session.clock import SoundClock
from rehearse.session.engine import Engine
from rehearse.session.practise import Happenings, LeadsTake, Practice, Show, Tell
from rehearse.session.profiles import may_hear_while_speaking
from rehearse.session.quiet import libraries_quiet
from rehearse.session.score import write_page
from rehearse.speak.player import Loudspeaker
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice


@dataclass(frozen=True)
class Choices:
    """What the trainee chose.

    level: how much help. headset: hear while speaking. keep_sound: keep the sound in the take.
    takes: where takes are kept, None for the user's own folder.
    microphone, loudspeaker: devices by name or number, None for the system's default.
    """

    level: Level = Level.STEADY
    headset: bool = False
    keep_sound: bool = True
    takes: Path | None = None
    microphone: int | str | None = None
    loudspeaker: int | str | None = None


def minding_devices(choices: Choices, tell: Tell) -> Choices:
    """The choices as the profile of their devices allows them; see `rehearse.session.profiles`."""
    headset = may_hear_while_speaking(
        choices.microphone, choices.loudspeaker, choices.headset, tell
    )
    return replace(choices, headset=headset)


def _nobody(_happenings: Happenings, _clock: SoundClock, _interrupt: Callable[[], None]) -> None:
    """Nobody but the trainee takes part."""


class Running:
    """A source that delivers already, so that no take is begun for one that does not.

    Raises:
        SoundError: the source cannot be opened, or no sound comes from it.
    """

    def __init__(self, source: Source) -> None:
        self.name = source.name
        self._chunks = source.chunks()
        self._first = next(self._chunks, None)

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound, from its beginning."""
        with closing(self._chunks):
            if self._first is not None:
                yield self._first
            yield from self._chunks

    def close(self) -> None:
        """Release a source that nobody listened to."""
        self._chunks.close()


@dataclass(frozen=True)
class Leading(Generic[LeadsTake]):
    """What is taken and what leads it, and how it begins.

    help_level: what the take's header says about help.
    beforehand: events that are logged before anything is heard.
    attend: given the queue of happenings, the clock, and what asks for the end, as the take begins;
        it may start a thread that puts in what an instructor types.
    """

    procedure: Procedure
    coach: LeadsTake
    help_level: str
    beforehand: tuple[Event, ...] = ()
    attend: Callable[[Happenings, SoundClock, Callable[[], None]], None] = _nobody


def practise(
    procedure: Procedure, engine: Engine, choices: Choices, show: Show, tell: Tell
) -> tuple[Report, Path]:
    """One practice take from the announcement to the debrief; its report and its folder.

    show: told every event. tell: told what a person should know and mend, such as no loudspeaker.

    Raises:
        RehearseError: no microphone, a device that fails in mid-take, or a folder that cannot be
            written. A take that had begun is closed and keeps what was finished.
    """
    leading = Leading(procedure, Coach(procedure, choices.level), choices.level.value)
    take, result, _coach = conduct(leading, engine, choices, show, tell)
    return _kept(take, result, tell), take.folder


def conduct(
    leading: Leading[LeadsTake], engine: Engine, choices: Choices, show: Show, tell: Tell
) -> tuple[Take, Result, LeadsTake]:
    """One take, led from its beginning to its end; the verdicts, and what led it as it ended.

    Raises:
        RehearseError: as `practise`.
    """
    with libraries_quiet():
        choices = minding_devices(choices, tell)
        source = Running(Microphone(choices.microphone))
        try:
            writer = _new_take(leading, choices)
        except RehearseError:
            source.close()
            raise
        try:
            with writer:
                result, coach = _run(leading, engine, choices, source, writer, show=show, tell=tell)
        except RehearseError as error:
            raise RehearseError(f"{error}; the take until then is in {writer.folder}") from error
    return Take.open(writer.folder), result, coach


def _new_take(leading: Leading[LeadsTake], choices: Choices) -> TakeWriter:
    folder = choices.takes or takes_folder()
    now = datetime.now(UTC)
    forget_sounds(folder, now)
    return TakeWriter.create(
        folder,
        leading.procedure,
        started=now,
        help_level=leading.help_level,
        source="microphone",
        keep_sound=choices.keep_sound,
    )


def _run(
    leading: Leading[LeadsTake],
    engine: Engine,
    choices: Choices,
    source: Running,
    writer: TakeWriter,
    *,
    show: Show,
    tell: Tell,
) -> tuple[Result, LeadsTake]:
    """The take itself, which Ctrl-C asks to end."""
    procedure = leading.procedure
    happenings: Happenings = queue.SimpleQueue()
    clock = SoundClock()
    for event in leading.beforehand:
        happenings.put(event)

    def keep(sound: Sound) -> None:
        clock.advance(sound.size / RATE)
        writer.write_sound(sound)

    ears = LiveListener(
        source,
        engine.recogniser,
        engine.expectation(procedure),
        engine.language_of(procedure),
        emit=happenings.put,
        keep=keep,
    )

    def prompted(event: PromptStarted | PromptEnded) -> None:
        if not choices.headset:
            (ears.mute if isinstance(event, PromptStarted) else ears.unmute)()
        happenings.put(event)

    voice = Voice(procedure.language)
    practice = Practice(
        coach=leading.coach,
        assessor=engine.assessor(procedure),
        ears=ears,
        speaker=Speaker(voice, Loudspeaker(choices.loudspeaker), clock, prompted),
        writer=writer,
        happenings=happenings,
        clock=clock,
        show=show,
        tell=tell,
    )
    leading.attend(happenings, clock, practice.interrupt)
    before = signal.signal(signal.SIGINT, lambda *_: practice.interrupt())
    try:
        with closing(voice):
            return practice.run(), practice.coach
    finally:
        signal.signal(signal.SIGINT, before)


def _kept(take: Take, result: Result, tell: Tell) -> Report:
    """The report of a finished take, also as a page in its folder."""
    report = Report(take.header.id, take.procedure, result, take.events, take.header)
    try:
        write_page(report, take.folder / "report.html", take.sound() if take.sound_path else None)
    except RehearseError as error:  # the report itself can still be read on the screen
        tell(str(error))
    return report
