"""A drill on a recording: real hearing, the sound's own time, no devices."""

from __future__ import annotations

import json
from collections.abc import Generator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from rehearse.drill.model import END, Branch, Cue, Drill, Outcome, Window
from rehearse.drill.scoring.score import score
from rehearse.drill.shown.document import document
from rehearse.drill.values import Kind
from rehearse.events import CueEnded, CueStarted, Event
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Chunk
from rehearse.hear.whisper import Whisper
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from rehearse.session.drilled import Recorded, drilled, recorded
from rehearse.session.engine import SPEECH_MODEL, Engine
from rehearse.weights.store import verified
from tests.drill.sample import drill

SOUNDS = Path(__file__).parent / "sounds"
PIECE = RATE // 10


class NeverRead:
    """No reader is asked about commands."""

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """Nothing may come here."""
        raise AssertionError(f"read {pairs}")


@pytest.fixture(scope="module")
def engine() -> Engine:
    """The real recogniser."""
    never = NeverRead()
    return Engine(Whisper(verified(SPEECH_MODEL)), Readers(never, never))


def _clip(name: str) -> Sound:
    samples, _ = soundfile.read(SOUNDS / f"{name}.flac", dtype="float32")
    sound: Sound = samples
    return sound


class Trainee:
    """Somebody who answers a cue with clips, each so many seconds after its beginning."""

    name = "trainee"

    def __init__(self, seconds: float, answers: Sequence[tuple[str, float, str]] = ()) -> None:
        """answers: stage, seconds, clip."""
        self.sound = np.random.default_rng(5).normal(0, 1e-4, int(seconds * RATE))
        self.begun: list[float] = []
        self._answers = answers

    def told(self, event: Event) -> None:
        """Answers a cue as it begins."""
        if isinstance(event, CueStarted):
            for stage, after, name in self._answers:
                if stage == event.stage:
                    clip = _clip(name)
                    at = int((event.time + after) * RATE)
                    self.sound[at : at + clip.size] += clip
                    loud = np.flatnonzero(np.abs(clip) > 0.02)
                    self.begun.append(event.time + after + loud[0] / RATE)

    def chunks(self) -> Generator[Chunk, None, None]:
        """The sound, in short pieces."""
        for at in range(0, self.sound.size, PIECE):
            samples = self.sound[at : at + PIECE].astype(np.float32)
            yield Chunk(samples, at / RATE, 0.25 if at == 2 * RATE else None)


@pytest.fixture(scope="module")
def small() -> Drill:
    """The signal alone; its command once is enough."""
    made = drill()
    signal = made.stages[0]
    belts = replace(signal.answers[0], lasts=0.0, every=None, louder=None)
    alone = replace(
        signal,
        cue=Cue("countdown-beep", None, "", "", Window(2.5, 2.5)),
        answers=(belts,),
        then=(Branch(END, tuple(Outcome)),),
        gives_up=4.0,
    )
    return replace(made, stages=(alone,))


Made = tuple[Trainee, Recorded]


@pytest.fixture(scope="module")
def answered(small: Drill, engine: Engine) -> Made:
    """The command a second after the cue."""
    trainee = Trainee(12.0, (("signal", 1.0, "belts"),))
    return trainee, recorded(small, 3, trainee, engine, told=trainee.told)


def test_an_answer_is_heard_timed_and_scored(answered: Made) -> None:
    """If this fails, a recording of a right answer is not scored as one, or is timed wrongly."""
    trainee, made = answered
    result = score(made.run, made.sound, load("en"))
    (stage,) = result.stages
    (belts,) = stage.answers
    assert belts.verdict is Verdict.SAID
    assert stage.cue is not None
    assert belts.reaction.value == pytest.approx(trainee.begun[0] - stage.cue, abs=0.06)
    assert result.passed
    assert [shout.kind for shout in result.shouts] == [Kind.ANSWER]


def test_lost_sound_is_told(answered: Made) -> None:
    """If this fails, a source that loses sound is taken at its word."""
    _, made = answered
    result = score(made.run, made.sound, load("en"))
    assert [(lost.time, lost.seconds) for lost in result.lost] == [(2.0, 0.25)]


def test_the_same_run_gives_the_same_bytes(answered: Made) -> None:
    """If this fails, the same take does not give the same result twice."""
    _, made = answered
    first, again = (score(made.run, made.sound, load("en")) for _ in range(2))
    assert json.dumps(document(first)) == json.dumps(document(again))


def test_cues_come_at_their_time(answered: Made) -> None:
    """If this fails, a cue of a recording does not come when the seed has it come."""
    _, made = answered
    begun = [e.time for e in made.run.events if isinstance(e, CueStarted)]
    ended = [e.time for e in made.run.events if isinstance(e, CueEnded)]
    assert begun == pytest.approx([2.5], abs=0.051)
    assert ended[0] - begun[0] == pytest.approx(0.15, abs=0.001)


def test_a_recording_that_ends_too_soon(small: Drill, engine: Engine) -> None:
    """If this fails, a recording that breaks off is waited for, or passes."""
    result = drilled(small, 3, Trainee(3.0), engine)
    assert result.why_ended == "end of recording"
    assert not result.passed


def test_silence_is_no_answer(small: Drill, engine: Engine) -> None:
    """If this fails, a drill on a silent recording does not end, or passes."""
    result = drilled(small, 3, Trainee(12.0), engine)
    assert result.why_ended == "finished"
    assert result.stages[0].outcome is Outcome.UNANSWERED
    assert not result.passed
