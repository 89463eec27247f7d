"""A practice take set up on real devices: microphone, voice, loudspeaker and the take's folder."""

from __future__ import annotations

import queue
import signal
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from rehearse.book.model import Procedure
from rehearse.coach.coach import Coach
from rehearse.coach.pace import Level
from rehearse.events import PromptEnded, PromptStarted
from rehearse.hear.listener import LiveListener
from rehearse.hear.microphone import Microphone
from rehearse.record.report import Report
from rehearse.record.retention import forget_sounds
from rehearse.record.take import Take, TakeWriter, takes_folder
from rehearse.session.engine import Engine
from rehearse.session.practise import Happening, Practice, Show
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


def practise(
    procedure: Procedure, engine: Engine, choices: Choices, show: Show
) -> tuple[Report, Path]:
    """One practice take from the announcement to the debrief; its report and its folder.

    Raises:
        RehearseError: no microphone, a device that fails in mid-take, or a folder that cannot be
            written. A take that had begun is closed and keeps what was finished.
    """
    happenings: queue.Queue[Happening] = queue.Queue()
    folder = choices.takes or takes_folder()
    forget_sounds(folder, datetime.now(UTC))
    writer = TakeWriter.create(
        folder,
        procedure,
        started=datetime.now(UTC),
        help_level=choices.level.value,
        source="microphone",
        keep_sound=choices.keep_sound,
    )
    with writer:
        began = time.monotonic()

        def clock() -> float:
            return time.monotonic() - began

        ears = LiveListener(
            Microphone(choices.microphone),
            engine.recogniser,
            engine.expectation(procedure),
            engine.language,
            emit=happenings.put,
            keep=writer.write_sound if choices.keep_sound else None,
        )

        def prompted(event: PromptStarted | PromptEnded) -> None:
            if not choices.headset:
                (ears.mute if isinstance(event, PromptStarted) else ears.unmute)()
            happenings.put(event)

        voice = Voice(procedure.language)
        speaker = Speaker(voice, Loudspeaker(choices.loudspeaker), clock, prompted)
        practice = Practice(
            coach=Coach(procedure, choices.level),
            assessor=engine.assessor(procedure),
            ears=ears,
            speaker=speaker,
            writer=writer,
            happenings=happenings,
            clock=clock,
            show=show,
        )
        before = signal.signal(signal.SIGINT, lambda *_: practice.interrupt())
        try:
            result = practice.run()
        finally:
            signal.signal(signal.SIGINT, before)
    take = Take.open(writer.folder)
    report = Report(take.header.id, take.procedure, result, take.events, take.header)
    write_page(report, writer.folder / "report.html", take.sound() if take.sound_path else None)
    return report, writer.folder
