"""Drills constructed with known truth: what is said when, and what is wrong with it."""

from __future__ import annotations

import numpy as np
import pytest

from rehearse.bench.drill_cases import (
    NOISES,
    SETTLES,
    STOP_WITHIN,
    WAIT,
    Case,
    Fault,
    Played,
    cases,
    played,
)
from rehearse.bench.drill_wordings import texts
from rehearse.bench.shouting import Clip
from rehearse.cues.sounds import SOUNDS
from rehearse.drill.running.plan import plan
from rehearse.hear.recogniser import RATE
from rehearse.language import load
from rehearse.language.token import Token

VOICES = 8
ALL = cases(300, VOICES)


def played_by_a_tone(case: Case) -> Played:
    """The case with every saying one second long."""
    voice = Clip(np.ones(RATE, np.float32), 0, RATE)
    return played(case, [tuple(voice for _ in act) for act in case.acts])


def words(text: str) -> list[Token]:
    """The text as the judge reads it."""
    return list(load("en").tokens(text.split()))


def test_the_same_number_is_the_same_case() -> None:
    """A measurement could not be repeated, nor a drill that went wrong looked at alone."""
    assert ALL[:20] == cases(20, VOICES)


def test_every_voice_speaks_in_every_noise_and_every_fault_is_made() -> None:
    """A rate would stand for fewer voices, noises or faults than it is told of."""
    assert {(case.voice, case.snr) for case in ALL} == {
        (voice, noise) for voice in range(VOICES) for noise in NOISES
    }
    assert {case.fault for case in ALL} == set(Fault)


def test_what_is_called_wrong_is_wrong() -> None:
    """A right command counted as a wrong one would hide or invent a false credit."""
    for case in ALL:
        commands = {f"{word.id}.call": word for word in case.wordings}
        for intent in (intent for act in case.acts for intent in act):
            said, wanted = words(intent.text), words(commands[intent.answer].say)
            stale = case.fault is Fault.STALE and intent is case.acts[1][0]
            assert intent.right == (said == wanted and not stale), (case.number, intent)


def test_every_text_can_be_said_beforehand() -> None:
    """A folder of clips made from the list of texts would lack one of them."""
    said = {intent.text for case in ALL for act in case.acts for intent in act}
    assert said <= set(texts())


@pytest.mark.parametrize("number", [0, 1, 2, 3, 4, 5])
def test_sayings_follow_their_cue_and_each_other(number: int) -> None:
    """The stated times would not be those at which the trainee speaks."""
    case = ALL[number]
    laid = played_by_a_tone(case)
    intents = [intent for act in case.acts for intent in act]
    said = [saying for saying, _ in laid.sayings]
    first = len(case.acts[0])
    assert said[0].start == pytest.approx(WAIT + intents[0].after)
    second_cue = said[first - 1].end + SETTLES + WAIT
    assert said[first].start == pytest.approx(second_cue + intents[first].after)
    for at in set(range(1, len(said))) - {first}:
        assert said[at].start == pytest.approx(said[at - 1].end + intents[at].after)
    assert laid.seconds > said[-1].end + SETTLES


def test_a_stale_command_comes_after_it_must_have_stopped() -> None:
    """What the drill allows would be expected to be found fault with."""
    for case in ALL:
        if case.fault is Fault.STALE:
            assert case.acts[1][0].after > STOP_WITHIN


def test_the_drill_goes_from_one_stage_to_the_next_whatever_happens() -> None:
    """One command that is not recognised would silence the whole second half of a drill."""
    for case in ALL[:30]:
        drill = played_by_a_tone(case).drill
        first, second = drill.stages
        planned = plan(drill, case.number)
        assert set(planned[first.id].then.values()) == {second.id}
        assert planned[second.id].wait == WAIT
        assert {stage.cue.sound for stage in drill.stages} <= set(SOUNDS)
