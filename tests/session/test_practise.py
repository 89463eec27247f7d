"""The loop of a practice, with ears and a speaker that do as they are told."""

from __future__ import annotations

import queue
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from rehearse.book import reader
from rehearse.coach.actions import GiveCue
from rehearse.coach.coach import Coach
from rehearse.coach.pace import Level
from rehearse.errors import SoundError, StoreError
from rehearse.events import (
    CueEnded,
    CueStarted,
    Ended,
    Event,
    Heard,
    Judged,
    Listening,
    PromptEnded,
    PromptStarted,
    Requested,
)
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Verdict
from rehearse.language.english import English
from rehearse.record.take import Take, TakeWriter
from rehearse.session import practise
from rehearse.session.practise import Happening, Happenings, Practice

PROCEDURE = reader.read(Path(__file__).parents[2] / "procedures" / "tarn-240" / "arm-door-2l.yaml")
FLAP, DRUM = (step.say for step in PROCEDURE.steps[:2])


class SameWords:
    """A reader to whom only the step's own words say the step."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """See `rehearse.judge.meaning.Meaning`."""
        rows = [[1, 0, 0, 0] if step == said else [0, 0, 0, 1] for step, said in pairs]
        return np.array(rows, np.float32).reshape(-1, 4)


class FakeEars:
    """Ears that hear nothing themselves; told to finish, they bring what they still had."""

    def __init__(self, happenings: Happenings) -> None:
        self.happenings = happenings
        self.rest: list[Event] = []
        self.calls: list[str] = []

    def start(self) -> None:
        """As `rehearse.session.practise.Ears`."""
        self.calls.append("start")
        self.happenings.put(Listening(0.0))

    def mute(self) -> None:
        """Likewise."""

    def unmute(self) -> None:
        """Likewise."""

    def finish(self) -> None:
        """Likewise."""
        self.calls.append("finish")
        if "close" not in self.calls:
            for event in self.rest:
                self.happenings.put(event)
            self.happenings.put(Ended(9.0, "end of recording"))

    def close(self) -> None:
        """Likewise."""
        self.calls.append("close")


class FakeSpeaker:
    """Prompts that end as soon as they begin, but for those it is to be interrupted in."""

    busy = False

    def __init__(self, happenings: Happenings, clock: Callable[[], float], trouble: str) -> None:
        self.trouble = trouble
        self.stopped = 0
        self.interrupted: dict[str, Callable[[], None]] = {}  # purpose -> what happens meanwhile
        self._happenings = happenings
        self._clock = clock

    def say(self, text: str, purpose: str) -> None:
        """As `rehearse.speak.speaker.Speaks`."""
        self._happenings.put(PromptStarted(self._clock(), text, purpose))
        if purpose in self.interrupted:
            self.interrupted[purpose]()
        else:
            self._happenings.put(PromptEnded(self._clock()))

    def cue(self, cue: GiveCue) -> None:
        """Likewise."""
        self._happenings.put(CueStarted(self._clock(), cue.stage, cue.told))
        self._happenings.put(CueEnded(self._clock(), cue.stage))

    def stop(self) -> None:
        """Likewise."""
        self.stopped += 1

    def close(self) -> None:
        """Likewise."""


class Room:
    """A practice and everything around it."""

    def __init__(self, folder: Path, level: Level = Level.QUIET, trouble: str = "") -> None:
        self.happenings: Happenings = queue.SimpleQueue()
        self.ears = FakeEars(self.happenings)
        self.shown: list[Event] = []
        self.told: list[str] = []
        self.writer = TakeWriter.create(
            folder,
            PROCEDURE,
            started=datetime.now(UTC),
            help_level=level.value,
            source="microphone",
            keep_sound=False,
        )
        ticks = count()
        meaning = SameWords()
        self.speaker = FakeSpeaker(self.happenings, lambda: next(ticks) / 10, trouble)
        self.practice = Practice(
            coach=Coach(PROCEDURE, level),
            assessor=Assessor(PROCEDURE, Readers(meaning, meaning), English()),
            ears=self.ears,
            speaker=self.speaker,
            writer=self.writer,
            happenings=self.happenings,
            clock=lambda: next(ticks) / 10,
            show=self.shown.append,
            tell=self.told.append,
        )

    def happen(self, *happenings: Happening) -> None:
        """Puts these into the queue, in order."""
        for happening in happenings:
            self.happenings.put(happening)

    @property
    def events(self) -> tuple[Event, ...]:
        """What the log holds."""
        return Take.open(self.writer.folder).events


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """No waiting for the clock, which goes by itself here."""
    monkeypatch.setattr(practise, "TICK", 0.001)


def prompts(events: Sequence[Event]) -> list[str]:
    """The purposes of the prompts."""
    return [event.purpose for event in events if isinstance(event, PromptStarted)]


def test_ctrl_c_hears_out_what_was_said(tmp_path: Path) -> None:
    """What the ears still had is judged, then comes the debrief; the log says it was stopped."""
    room = Room(tmp_path)
    room.ears.rest = [Heard(6.0, 8.0, DRUM)]
    room.happen(Heard(2.0, 4.0, FLAP))
    room.practice.interrupt()
    result = room.practice.run()
    assert [result.step(step).verdict for step in ("flap", "drum")] == [Verdict.SAID] * 2
    assert prompts(room.events) == ["welcome", "debrief"]
    assert isinstance(room.events[-1], Ended)
    assert room.events[-1].why == "stopped"
    assert room.ears.calls[:2] == ["start", "finish"]
    assert "close" in room.ears.calls


def test_ctrl_c_falls_silent_at_once(tmp_path: Path) -> None:
    """Whoever wants the end must not listen to a long sentence before it."""
    room = Room(tmp_path)
    room.happen(Heard(2.0, 4.0, FLAP))
    room.practice.interrupt()
    room.practice.run()
    assert room.speaker.stopped == 1


def test_a_second_ctrl_c_leaves_the_debrief_out(tmp_path: Path) -> None:
    """The take ends there; what was said before counts."""
    room = Room(tmp_path)
    room.happen(Heard(2.0, 4.0, FLAP))
    room.practice.interrupt()
    room.practice.interrupt()
    result = room.practice.run()
    assert result.step("flap").verdict is Verdict.SAID
    assert "debrief" not in prompts(room.events)
    assert isinstance(room.events[-1], Ended)
    assert room.events[-1].why == "stopped"


def test_ctrl_c_in_the_debrief_is_the_second_one(tmp_path: Path) -> None:
    """A trainee who has stopped by voice needs one Ctrl-C to cut the debrief short."""
    room = Room(tmp_path)
    room.speaker.interrupted["debrief"] = room.practice.interrupt
    room.happen(Heard(2.0, 4.0, "I am finished"))
    room.practice.run()
    assert prompts(room.events) == ["debrief"]
    assert isinstance(room.events[-1], Ended)
    assert room.events[-1].why == "stopped"


def test_a_third_ctrl_c_breaks_off(tmp_path: Path) -> None:
    """Where even ending hangs, the program can be left."""
    room = Room(tmp_path)
    room.practice.interrupt()
    room.practice.interrupt()
    with pytest.raises(KeyboardInterrupt):
        room.practice.interrupt()


def test_why_prompts_are_silent_is_told_once(tmp_path: Path) -> None:
    """The prompts are shown, and one line says why they cannot be heard."""
    room = Room(tmp_path, trouble="no loudspeaker found; connect one")
    room.happen(Heard(2.0, 4.0, FLAP), Requested(5.0, "hint", "a hint"))
    room.practice.interrupt()
    room.practice.run()
    assert len(prompts(room.shown)) >= 2
    assert room.told == ["no loudspeaker found; connect one"]


def test_a_device_that_fails_closes_the_take(tmp_path: Path) -> None:
    """What was finished is judged and kept, the log says why it ends, and the error is raised."""
    room = Room(tmp_path)
    room.happen(Heard(2.0, 4.0, FLAP), SoundError("the microphone stopped; plug it in"))
    with pytest.raises(SoundError, match="plug it in"):
        room.practice.run()
    assert [event.step for event in room.events if isinstance(event, Judged)] == ["flap"]
    assert isinstance(room.events[-1], Ended)
    assert room.events[-1].why == "device"
    assert room.ears.calls[-1] == "close"


def test_a_full_disk_is_the_error_that_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The end of a take that cannot be written any more hides nothing and hangs nothing."""
    room = Room(tmp_path)

    def full(_event: Event) -> None:
        raise StoreError("the disk is full; free some space")

    monkeypatch.setattr(room.writer, "write", full)
    with pytest.raises(StoreError, match="free some space"):
        room.practice.run()
    assert room.ears.calls[-1] == "close"


def test_requests_are_not_judged_and_starting_over_forgets(tmp_path: Path) -> None:
    """Only what was said after starting over is in the result; the log has it all."""
    room = Room(tmp_path, level=Level.STEADY)
    room.happen(Heard(2.0, 4.0, FLAP), Heard(5.0, 6.0, "start over"), Heard(7.0, 9.0, DRUM))
    room.practice.interrupt()
    result = room.practice.run()
    assert result.step("flap").verdict is Verdict.NOT_SAID
    assert result.step("drum").verdict is Verdict.SAID
    assert [event.text for event in room.events if isinstance(event, Heard)] == [FLAP, DRUM]
    assert [event.request for event in room.events if isinstance(event, Requested)] == ["over"]
