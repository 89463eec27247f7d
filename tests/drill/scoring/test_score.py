"""A run scored from its events alone: verdicts, limits, stops and what is void."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rehearse.drill.scoring.score import score
from rehearse.drill.scoring.visits import Visit
from rehearse.drill.shown.document import document
from rehearse.drill.values import Answered, DrillResult, Kind, Run
from rehearse.events import Ended, Event, Heard, Overflow, SlotCheck
from rehearse.judge.verdict import Verdict
from rehearse.language import load
from rehearse.measured import Measured
from tests.drill.sample import ACROSS, BELTS, DEAD, Room, room

GUIDE = Path(__file__).resolve().parents[3] / "docs" / "drill-results.md"
SILENT = np.zeros(0, np.float32)
NO_BASELINE = Measured(None, 0.0, "no calm baseline")


def _scored(here: Room, change: Callable[[Event], Event] = lambda event: event) -> DrillResult:
    here.wait(60)
    events = tuple(map(change, here.events))
    drill = here.runner.drill
    run = Run(drill, 1, here.runner.headset, NO_BASELINE, Measured(0.0), events)
    return score(run, SILENT, load("en"))


def _answer(result: DrillResult, name: str) -> Answered:
    found = [a for stage in result.stages for a in stage.answers if a.answer == name]
    return found[0]


def _shouting(here: Room, *, pause: float = 0.0) -> None:
    """The first stage answered: four shouts of two seconds, begun a second after the cue."""
    here.until_cue("signal")
    here.wait(1.0)
    for _ in range(4):
        here.say(BELTS)
        here.wait(pause)


@pytest.fixture
def right() -> DrillResult:
    """A drill without a fault."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(1.0)
    here.say(f"{DEAD} {ACROSS}")
    return _scored(here)


def test_right(right: DrillResult) -> None:
    """If this fails, a trainee who did everything right does not pass."""
    assert right.passed
    assert not [fault for stage in right.stages for fault in stage.faults]
    belts = _answer(right, "signal.belts")
    assert belts.verdict is Verdict.SAID
    assert belts.count == 4
    assert belts.reaction.value == pytest.approx(1.0, abs=0.11)
    assert belts.rate.value == pytest.approx(24.0, rel=0.05)
    assert belts.silence.value == pytest.approx(0.5, abs=0.11)
    assert belts.went_on.value == pytest.approx(9.5, abs=0.11)


def test_same_bytes(right: DrillResult) -> None:
    """If this fails, the same take does not give the same result twice."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(1.0)
    here.say(f"{DEAD} {ACROSS}")
    again = _scored(here)
    assert json.dumps(document(again)) == json.dumps(document(right))


def test_every_key_is_documented(right: DrillResult) -> None:
    """If this fails, a script that reads results meets a key that no page explains."""
    guide = GUIDE.read_text("utf-8")
    missing = {key for key in _keys(document(right)) if f"`{key}`" not in guide}
    assert not missing


def _keys(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from _keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _keys(inner)


def test_a_wrong_command_is_never_credited() -> None:
    """If this fails, a command with a word swapped passes for the command."""
    here = room()
    here.until_cue("signal")
    for text in (
        "Belts on! Bags down! This way out!",
        "Belts off! Bags up! This way out!",
        "Belts off! This way out!",
        "Never say belts off! Bags down! This way out!",
        "Belts off! Bags down! That way out!",
    ):
        here.say(text)
    result = _scored(here)
    belts = _answer(result, "signal.belts")
    assert belts.verdict is not Verdict.SAID
    assert belts.count == 0
    assert belts.faults
    assert not result.passed
    assert next(shout.kind for shout in result.shouts) is Kind.FORBIDDEN


def test_forbidden_words_fail_the_drill() -> None:
    """If this fails, a dangerous command is passed over because the right one came too."""
    here = room()
    here.until_cue("signal")
    here.say("Belts on! Bags down! This way out!")
    for _ in range(4):
        here.say(BELTS)
    result = _scored(here)
    assert _answer(result, "signal.belts").verdict is Verdict.SAID
    assert "must not be said" in result.stages[0].faults[0]
    assert not result.passed


def test_too_late() -> None:
    """If this fails, a slow reaction passes, or is not told."""
    here = room()
    here.until_cue("signal")
    here.wait(4.0)
    for _ in range(4):
        here.say(BELTS)
    result = _scored(here)
    belts = _answer(result, "signal.belts")
    assert belts.verdict is Verdict.SAID
    assert belts.reaction.value == pytest.approx(4.0, abs=0.11)
    assert any("after the cue" in fault for fault in belts.faults)
    assert not result.passed


def test_a_long_gap() -> None:
    """If this fails, silence while people should be moving is not told."""
    here = room()
    _shouting(here, pause=3.5)
    belts = _answer(_scored(here), "signal.belts")
    assert any("from one saying to the next" in fault for fault in belts.faults)
    assert belts.silence.value == pytest.approx(4.0, abs=0.11)


def test_a_garbled_saying_is_no_gap() -> None:
    """If this fails, a saying that the recogniser lost makes an even speaker one who paused."""
    here = room()
    here.until_cue("signal")
    here.wait(1.0)
    for text in (BELTS, BELTS, "Doze, Jeonbap", BELTS, BELTS):
        here.say(text)
    belts = _answer(_scored(here), "signal.belts")
    assert belts.count == 4
    assert not belts.faults
    assert belts.rate.value == pytest.approx(24.0, rel=0.05)
    assert belts.silence.value == pytest.approx(0.5, abs=0.11)


def test_the_error_speaks_for_the_trainee() -> None:
    """If this fails, a limit counts as missed though the measure may be off by more."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(3.1)
    here.say(f"{DEAD} {ACROSS}")
    dead = _answer(_scored(here), "hanging.dead")
    assert dead.reaction.value is not None
    assert 3.0 < dead.reaction.value < 3.0 + dead.reaction.error
    assert not dead.faults


def _doubtful(event: Event) -> Event:
    """The first saying of the command with a word that the sound does not settle."""
    if isinstance(event, Heard) and event.text == BELTS and event.start < 11.0:
        return replace(event, checks=(SlotCheck(1, 1, "off", "on", 1.0),))
    return event


def test_an_unclear_saying_is_not_held_against_the_trainee() -> None:
    """If this fails, sound that does not settle a word makes a quick trainee a slow one."""
    here = room()
    cue = here.until_cue("signal")
    assert cue < 10.0
    here.wait(1.0)
    here.say(BELTS)
    here.wait(max(0.0, 11.5 - here.now))
    for _ in range(3):
        here.say(BELTS)
    belts = _answer(_scored(here, _doubtful), "signal.belts")
    assert belts.verdict is Verdict.SAID
    assert belts.count == 3
    assert belts.reaction.value is None
    assert "could not be made out" in belts.reaction.void
    assert not belts.faults


def test_old_commands_must_stop() -> None:
    """If this fails, shouting people to a dead door goes unnoticed."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(2.0)
    here.say(BELTS)
    here.say(f"{DEAD} {ACROSS}")
    result = _scored(here)
    assert Kind.STALE in [shout.kind for shout in result.shouts]
    assert result.stages[1].stopped.value == pytest.approx(4.0, abs=0.11)
    assert "had to stop" in result.stages[1].faults[0]
    assert not result.passed


def test_a_command_in_progress_may_be_finished() -> None:
    """If this fails, whoever ends the shout that the cue came into is blamed for it."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(0.3)
    here.say(BELTS)
    here.say(f"{DEAD} {ACROSS}")
    result = _scored(here)
    assert Kind.STALE not in [shout.kind for shout in result.shouts]
    assert not result.stages[1].faults


def test_out_of_order() -> None:
    """If this fails, people are sent across before they were turned back, and nobody says so."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(0.5)
    here.say(f"{ACROSS} {DEAD}")
    result = _scored(here)
    verdicts = {a.answer: a.verdict for a in result.stages[1].answers}
    assert Verdict.OUT_OF_ORDER in verdicts.values()
    assert not result.passed


def test_said_early_and_again_in_order() -> None:
    """If this fails, an answer given early and again in its place is held against the trainee."""
    here = room()
    _shouting(here)
    here.until_cue("hanging")
    here.wait(0.5)
    here.say(f"{ACROSS} {DEAD} {ACROSS}", seconds=3.0)
    result = _scored(here)
    assert {a.verdict for a in result.stages[1].answers} == {Verdict.SAID}
    assert result.passed


def test_lost_sound_voids_only_what_it_touched() -> None:
    """If this fails, a timing that the device spoilt is told as true, or a good one is lost."""
    here = room()
    _shouting(here)
    cue = here.until_cue("hanging")
    here.events.append(Overflow(cue + 0.5, 0.3))
    here.wait(1.0)
    here.say(f"{DEAD} {ACROSS}")
    result = _scored(here)
    dead, belts = _answer(result, "hanging.dead"), _answer(result, "signal.belts")
    assert dead.reaction.value is None
    assert "lost sound" in dead.reaction.void
    assert dead.verdict is Verdict.SAID
    assert any("could not be timed" in fault for fault in dead.faults)
    assert belts.reaction.value is not None
    assert not belts.faults
    assert [lost.time for lost in result.lost] == [cue + 0.5]


def test_stopped_never_passes() -> None:
    """If this fails, a drill that was broken off counts as passed."""
    here = room()
    _shouting(here)
    here.say("End the drill!")
    result = _scored(here)
    assert result.why_ended == "stopped"
    assert not result.passed


def test_a_torn_take() -> None:
    """If this fails, a take whose end was never written cannot be scored."""
    here = room()
    _shouting(here)
    here.wait(60)
    here.events = [event for event in here.events if not isinstance(event, Ended)]
    result = _scored(here)
    assert result.why_ended == "device"
    assert not result.passed
    assert _answer(result, "signal.belts").verdict is Verdict.SAID


def test_the_latency_of_the_devices_is_taken_off() -> None:
    """If this fails, a slow sound card makes a slow trainee."""
    here = room()
    _shouting(here)
    here.wait(60)
    run = Run(here.runner.drill, 1, False, NO_BASELINE, Measured(0.3, 0.05), tuple(here.events))
    belts = _answer(score(run, SILENT, load("en")), "signal.belts")
    assert belts.reaction.value == pytest.approx(0.7, abs=0.11)


def test_when_the_trainee_could_know() -> None:
    """If this fails, whoever waits for the words of a cue is late, or a signal costs nothing."""
    here = room(headset=True)
    _shouting(here)
    here.until_cue("hanging")
    result = _scored(here)
    signal, hanging = result.stages
    assert signal.cue == signal.cue_start  # a sound alone, through a headset
    assert hanging.cue == hanging.cue_end
    stage = here.runner.drill.stages[1]
    told = replace(stage, cue=replace(stage.cue, sound="slide-hanging"))
    assert Visit(told, "", 1.0, 4.0, headset=True).cue == 4.0
    assert Visit(told, "", 1.0, 4.0, headset=False).cue == 4.0


def test_words_without_times() -> None:
    """If this fails, a recogniser that gives no times of words cannot be scored."""
    here = room()
    here.until_cue("signal")
    here.wait(1)
    here.say(" ".join([BELTS] * 4), seconds=8.0)

    def timeless(event: Event) -> Event:
        return replace(event, words=()) if isinstance(event, Heard) else event

    assert _answer(_scored(here, timeless), "signal.belts").count == 4
