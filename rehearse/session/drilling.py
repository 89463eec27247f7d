"""A command drill on real devices: cues played, shouts heard, all of it kept in a drill's take."""

from __future__ import annotations

import contextlib
import queue
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from rehearse.cues.echo import ERROR, heard
from rehearse.drill.model import Drill
from rehearse.drill.running.answering import Answering
from rehearse.drill.running.expected import RULE, expected
from rehearse.drill.running.giving import cue, welcome
from rehearse.drill.running.runner import Runner
from rehearse.drill.scoring.meant import ByMeaning
from rehearse.drill.values import NO_BASELINE
from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.events import (
    CueEnded,
    CueHeard,
    CueStarted,
    Overflow,
    PromptEnded,
    PromptStarted,
)
from rehearse.hear.listener import LiveListener
from rehearse.hear.microphone import Microphone
from rehearse.hear.recogniser import RATE, Sound
from rehearse.judge.verdict import Result
from rehearse.measured import Measured
from rehearse.record.drill_take import DrillTake, begin
from rehearse.record.retention import forget_sounds
from rehearse.record.take import TakeWriter, takes_folder
from rehearse.session import calm, delay
from rehearse.session.clock import SoundClock
from rehearse.session.drilled import language_of
from rehearse.session.engine import Engine
from rehearse.session.practise import Happening, Happenings, Practice, Show, Tell
from rehearse.session.quiet import libraries_quiet
from rehearse.session.recalling import NoSteps
from rehearse.session.studio import Choices, Running, minding_devices
from rehearse.speak.cast import Cast
from rehearse.speak.cueing import Cueing
from rehearse.speak.player import Loudspeaker, resampled
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice

# Through a loudspeaker nobody is heard while a cue sounds: it must not hold up a quick trainee.
LONGEST_SOUND = 1.2


@dataclass(frozen=True)
class Performance:
    """One run of a drill to be made.

    person: whose it is, an id; "" for whoever uses this computer's account.
    """

    drill: Drill
    seed: int
    person: str = ""


def drill_live(
    performance: Performance, engine: Engine, choices: Choices, *, show: Show, tell: Tell
) -> DrillTake:
    """One run of a drill at the microphone, from the welcome to its end; its take.

    show: told every event. tell: told what a person should know and mend.

    Raises:
        RehearseError: no microphone, a device that fails in mid-drill, or a folder that cannot be
            written. A take that had begun is closed and keeps what was finished.
    """
    drill = performance.drill
    with libraries_quiet():
        choices = minding_devices(choices, tell)
    voice = Voice(drill.language)
    cast = Cast(voice)
    cueing = Cueing(cast, None if choices.headset else LONGEST_SOUND)
    with closing(voice), closing(cast), libraries_quiet():
        _prepare(drill, voice, cueing, headset=choices.headset)
        source = Running(Microphone(choices.microphone))
        try:
            writer = _begun(performance, choices, tell)
        except RehearseError:
            source.close()
            raise
        live = Live(drill, performance.seed, engine, choices, source, writer)
        try:
            with writer:
                live.run(voice, cueing, show, tell)
                _find_cues(writer, drill, cueing)
        except RehearseError as error:
            raise RehearseError(f"{error}; the take until then is in {writer.folder}") from error
    return DrillTake.open(writer.folder)


def _prepare(drill: Drill, voice: Voice, cueing: Cueing, *, headset: bool) -> None:
    """Renders everything beforehand: a drill does not wait for a speech engine."""
    with contextlib.suppress(VoiceError):  # told when it is to be heard
        voice.render(welcome(drill, headset=headset))
    for stage in drill.stages:
        with contextlib.suppress(VoiceError):
            cueing.render(cue(drill, stage.id))


def _begun(performance: Performance, choices: Choices, tell: Tell) -> TakeWriter:
    folder = choices.takes or takes_folder()
    now = datetime.now(UTC)
    forget_sounds(folder, now)
    device = Microphone(choices.microphone).hardware()
    baseline = calm.kept(performance.person, device)
    return begin(
        folder,
        performance.drill,
        seed=performance.seed,
        started=now,
        headset=choices.headset,
        calm=NO_BASELINE if baseline is None else baseline.level,
        latency=_latency(choices, device, tell),
        person=performance.person,
        device=device,
    )


def _latency(choices: Choices, microphone: str, tell: Tell) -> Measured:
    """How late cues come where the microphone does not hear them."""
    try:
        loudspeaker = Loudspeaker(choices.loudspeaker).hardware()
    except SoundError:  # told when it is to be heard
        return delay.UNMEASURED
    measured = delay.kept(microphone, loudspeaker)
    if measured is None and choices.headset:
        tell(
            "how late the headset plays is not known, so reaction times are less sure; measure it "
            "once: 'rehearse drill --latency'"
        )
    return measured or delay.UNMEASURED


@dataclass(frozen=True)
class Live:
    """A drill with the devices and the take it is run on."""

    drill: Drill
    seed: int
    engine: Engine
    choices: Choices
    source: Running
    writer: TakeWriter

    def run(self, voice: Voice, cueing: Cueing, show: Show, tell: Tell) -> None:
        """From the welcome to the end, which Ctrl-C and the Enter key ask for. As `drill_live`."""
        happenings: Happenings = queue.SimpleQueue()
        clock = SoundClock()
        ears = self._ears(happenings, clock)

        def spoken(event: PromptStarted | PromptEnded | CueStarted | CueEnded) -> None:
            if not self.choices.headset:
                starts = isinstance(event, PromptStarted | CueStarted)
                (ears.mute if starts else ears.unmute)()
            happenings.put(event)

        loudspeaker = Loudspeaker(self.choices.loudspeaker)
        practice = Practice(
            coach=self._runner(),
            assessor=NoSteps(Result(self.drill.id, self.drill.revision.number, False, (), ())),
            ears=ears,
            speaker=Speaker(voice, loudspeaker, clock, spoken, cues=cueing, cued=spoken),
            writer=self.writer,
            happenings=happenings,
            clock=clock,
            show=show,
            tell=tell,
        )
        with stopping(practice.interrupt):
            practice.run()

    def _runner(self) -> Runner:
        language = language_of(self.drill)
        meant = ByMeaning(self.drill, self.engine.assessor)
        hears = Answering(self.drill, language, meant)
        return Runner(self.drill, self.seed, hears, headset=self.choices.headset)

    def _ears(self, happenings: Happenings, clock: SoundClock) -> LiveListener:
        def keep(sound: Sound) -> None:
            clock.advance(sound.size / RATE)
            self.writer.write_sound(sound)

        def happened(event: Happening) -> None:
            if isinstance(event, Overflow):
                clock.lost()
            happenings.put(event)

        language = language_of(self.drill)
        return LiveListener(
            self.source,
            self.engine.recogniser,
            expected(self.drill, language),
            language,
            emit=happened,
            keep=keep,
            rule=RULE,
        )


def _find_cues(writer: TakeWriter, drill: Drill, cueing: Cueing) -> None:
    """Writes into the take where its cues are in its sound, if the microphone heard them."""
    take = DrillTake.open(writer.folder)
    sound = np.concatenate([*take.sound(), np.zeros(0, np.float32)])
    for event in take.events:
        if isinstance(event, CueStarted):
            with contextlib.suppress(VoiceError):
                samples = resampled(cueing.render(cue(drill, event.stage)), RATE)
                found = heard(sound, event.time, samples, RATE)
                if found is not None:
                    writer.write(CueHeard(*found, event.stage, event.time, ERROR))


@contextmanager
def stopping(interrupt: Callable[[], None]) -> Iterator[None]:
    """Ctrl-C asks for the end while this lasts, and so does the Enter key on a terminal."""
    before = signal.signal(signal.SIGINT, lambda *_: interrupt())
    over = threading.Event()

    def read() -> None:
        if sys.stdin.readline() and not over.is_set():
            interrupt()

    if sys.stdin is not None and sys.stdin.isatty():
        threading.Thread(target=read, daemon=True, name="keyboard").start()
    try:
        yield
    finally:
        over.set()
        signal.signal(signal.SIGINT, before)
