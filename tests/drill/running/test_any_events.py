"""Whatever happens in a drill, and in whatever order, it comes to its end and can be scored."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.coach.actions import Finish, Tick
from rehearse.drill.scoring.score import score
from rehearse.drill.shown.document import document
from rehearse.drill.values import Run
from rehearse.events import (
    CueEnded,
    CueStarted,
    Ended,
    Event,
    Ghost,
    Heard,
    Overflow,
    PromptEnded,
    PromptStarted,
    SpeechStarted,
    StageOver,
)
from rehearse.language import load
from rehearse.measured import Measured
from tests.drill.sample import ACROSS, BELTS, DEAD, NO_RESULT, room

SILENT = np.zeros(0, np.float32)
TEXTS = (BELTS, DEAD, ACROSS, "Belts on! Bags down! This way out!", "end the drill", "hello", "")
STAGES = ("signal", "hanging")

times = st.floats(0.0, 60.0).map(lambda seconds: round(seconds, 2))
events: st.SearchStrategy[Event] = st.one_of(
    st.builds(lambda start, text: Heard(start, start + 1.5, text), times, st.sampled_from(TEXTS)),
    st.builds(SpeechStarted, times),
    st.builds(lambda start: Ghost(start, start + 1.0, "", "nobody"), times),
    st.builds(Overflow, times, st.floats(0.01, 2.0)),
    st.builds(lambda time: PromptStarted(time, "words", "welcome"), times),
    st.builds(PromptEnded, times),
    st.builds(lambda time, stage: CueStarted(time, stage, "told"), times, st.sampled_from(STAGES)),
    st.builds(CueEnded, times, st.sampled_from(STAGES)),
)
outcomes = st.sampled_from(("answered", "unanswered", "wrong"))
overs: st.SearchStrategy[Event] = st.builds(StageOver, times, st.sampled_from(STAGES), outcomes)


@settings(max_examples=50)
@given(st.lists(events, max_size=25))
def test_the_runner_always_ends(happened: list[Event]) -> None:
    """If this fails, some order of events hangs a drill, or ends it twice."""
    runner = room(headset=True).runner
    now, finished = 0.0, 0
    for event in [*happened, Ended(61.0, "stopped"), *([Tick(0.0)] * 400)]:
        now += 1.0
        read = runner.read(event) if isinstance(event, Heard) else event
        runner, actions = runner.step(now, read, NO_RESULT)
        finished += sum(isinstance(action, Finish) for action in actions)
    assert runner.over
    assert finished == 1


@settings(max_examples=50)
@given(st.lists(st.one_of(events, overs), max_size=25))
def test_any_log_can_be_scored(happened: list[Event]) -> None:
    """If this fails, an odd take cannot be scored, passes unfinished, or is scored in two ways."""
    made = room().runner.drill
    nothing = Measured(None, 0.0, "none")
    run = Run(made, 1, False, nothing, Measured(0.0, 0.2), tuple(happened))
    result = score(run, SILENT, load("en"))
    assert document(result) == document(score(run, SILENT, load("en")))
    assert not result.passed
    ended = replace(run, events=(*happened, Ended(70.0, "finished")))
    again = score(ended, SILENT, load("en"))
    critical = [a for stage in again.stages for a in stage.answers if a.critical]
    assert not again.passed or all(a.verdict.value == "said" for a in critical)
