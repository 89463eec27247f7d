"""A drill is left at any moment: by key in the middle of a cue, and the take says so."""

from __future__ import annotations

import io
import itertools
import os
import queue
import signal
import sys
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from rehearse.coach.actions import GiveCue
from rehearse.drill.files.reader import read_drill
from rehearse.drill.running.answering import Answering
from rehearse.drill.running.runner import Runner
from rehearse.drill.scoring.score import score
from rehearse.events import CueEnded, CueStarted, Ended, PromptEnded, PromptStarted
from rehearse.judge.verdict import Result
from rehearse.language import load
from rehearse.record.drill_take import DrillTake, begin
from rehearse.session import practise
from rehearse.session.drilling import stopping
from rehearse.session.practise import Happenings, Practice
from rehearse.session.recalling import NoSteps
from tests.session.test_practise import FakeEars

DRILL = read_drill(Path(__file__).parent / "two-calls.yaml")


class HeldSpeaker:
    """A speaker whose cues go on until they are stopped; `meanwhile` happens in the first."""

    busy = False
    trouble = ""

    def __init__(self, happenings: Happenings, clock: Callable[[], float]) -> None:
        self.meanwhile: Callable[[], None] = lambda: None
        self.stage = ""
        self._happenings = happenings
        self._clock = clock

    def say(self, text: str, purpose: str) -> None:
        """As `rehearse.speak.speaker.Speaks`."""
        self._happenings.put(PromptStarted(self._clock(), text, purpose))
        self._happenings.put(PromptEnded(self._clock()))

    def cue(self, cue: GiveCue) -> None:
        """Likewise."""
        self.stage = cue.stage
        self._happenings.put(CueStarted(self._clock(), cue.stage, cue.told))
        self.meanwhile()

    def stop(self) -> None:
        """Likewise."""
        if self.stage:
            self._happenings.put(CueEnded(self._clock(), self.stage, finished=False))
            self.stage = ""

    def close(self) -> None:
        """Likewise."""


def test_a_key_in_the_middle_of_a_cue_ends_the_drill(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The cue falls silent at once, nothing more is given, and the result says that it stopped."""
    monkeypatch.setattr(practise, "TICK", 0.001)
    happenings: Happenings = queue.SimpleQueue()
    ticks = itertools.count()

    def clock() -> float:
        return next(ticks) / 10

    speaker = HeldSpeaker(happenings, clock)
    with begin(tmp_path, DRILL, seed=1, started=datetime.now(UTC)) as writer:
        running = Practice(
            coach=Runner(DRILL, 1, Answering(DRILL, load("en"))),
            assessor=NoSteps(Result(DRILL.id, 1, False, (), ())),
            ears=FakeEars(happenings),
            speaker=speaker,
            writer=writer,
            happenings=happenings,
            clock=clock,
            show=lambda _event: None,
            tell=lambda _line: None,
        )
        speaker.meanwhile = running.interrupt
        running.run()
    take = DrillTake.open(writer.folder)
    cues = [event for event in take.events if isinstance(event, CueStarted | CueEnded)]
    assert [type(event) for event in cues] == [CueStarted, CueEnded]
    assert isinstance(cues[1], CueEnded)
    assert not cues[1].finished
    ended = take.events[-1]
    assert isinstance(ended, Ended)
    assert ended.why == "stopped"
    result = score(take.run, np.zeros(0, np.float32), load("en"))
    assert result.why_ended == "stopped"
    assert not result.passed


class Terminal(io.StringIO):
    """A standard input at which somebody sits."""

    def isatty(self) -> bool:
        """As a terminal."""
        return True


def test_the_enter_key_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever is frightened by the horn finds the largest key."""
    monkeypatch.setattr(sys, "stdin", Terminal("\n"))
    stopped = threading.Event()
    with stopping(stopped.set):
        assert stopped.wait(5)


def test_an_input_that_is_no_terminal_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """A script that feeds a file would otherwise end every drill as it begins."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n"))
    stopped = threading.Event()
    with stopping(stopped.set):
        assert not stopped.wait(0.2)


def test_ctrl_c_stops_and_is_itself_again_afterwards() -> None:
    """While the drill lasts it asks for the end; afterwards it interrupts the program as ever."""
    stopped = threading.Event()
    before = signal.getsignal(signal.SIGINT)
    with stopping(stopped.set):
        os.kill(os.getpid(), signal.SIGINT)
        assert stopped.wait(5)
    assert signal.getsignal(signal.SIGINT) is before
