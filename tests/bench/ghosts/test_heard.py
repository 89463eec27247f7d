"""What is counted of a block is what practice and a drill would really have done."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rehearse.bench.ghosts.block import Block
from rehearse.bench.ghosts.heard import drilled, outcome, practised
from rehearse.bench.ghosts.lines import wrong
from rehearse.bench.ghosts.outcome import Place
from rehearse.book.model import Procedure
from rehearse.drill.model import Drill
from rehearse.hear.recogniser import RATE, Sound
from rehearse.session.engine import Engine

Hearing = Callable[..., Engine]


def test_a_credited_step_is_counted(
    hearing: Hearing, voice: Sound, procedure: Procedure, drill: Drill
) -> None:
    """A step credited to sound in which nobody says it would not be seen."""
    call = next(step for step in procedure.steps if step.command)
    found = outcome(Block(voice), procedure, drill, hearing(call.say), place=Place("talk", 0))
    assert found.credited == found.commands == (call.id,)
    assert (found.critical == (call.id,)) is call.critical
    assert found.begun == 1
    assert found.heard
    assert wrong(found) >= 1


def test_an_obeyed_request_is_counted_and_not_judged(
    hearing: Hearing, voice: Sound, procedure: Procedure
) -> None:
    """A practice that a bystander ends would not be seen."""
    found = practised(Block(voice), procedure, hearing("Stop the practice."))
    assert found.requests == ("stop: Stop the practice.",)
    assert not found.credited


def test_words_without_support_are_ghosts(
    hearing: Hearing, voice: Sound, procedure: Procedure
) -> None:
    """What hearing refused would be counted as heard."""
    found = practised(Block(voice), procedure, hearing("Thank you.", score=-2.0))
    assert (found.begun, found.ghosts, found.heard) == (1, 1, ())


def test_what_is_muted_is_not_heard(hearing: Hearing, voice: Sound, procedure: Procedure) -> None:
    """The tool's own voice would be heard in the kind in which practice mutes it."""
    engine = hearing("Stop the practice.")
    seconds = voice.size / RATE
    assert practised(Block(voice, [(0.5, seconds)]), procedure, engine).begun == 0
    assert practised(Block(voice, [(0.0, 0.2)]), procedure, engine).begun == 1


def test_a_failed_detector_takes_noise_for_speech(hearing: Hearing, procedure: Procedure) -> None:
    """The second line of defence would not be tried."""
    hiss = np.random.default_rng(1).normal(0, 0.01, 3 * RATE).astype(np.float32)
    engine = hearing("Stop the practice.")
    assert practised(Block(hiss), procedure, engine).begun == 0
    assert practised(Block(hiss), procedure, engine, detected=False).requests


def test_a_command_of_a_drill_and_its_end_are_counted(
    hearing: Hearing, voice: Sound, drill: Drill
) -> None:
    """A command credited in a drill, or a drill that a bystander ends, would not be seen."""
    say = next(a.say for stage in drill.stages for a in stage.answers if a.command)
    assert any(shout.startswith(say) for shout in drilled(Block(voice), drill, hearing(say)).shouts)
    ended = drilled(Block(voice), drill, hearing("Well, end the drill."))
    assert ended.stops
    assert not drilled(Block(voice), drill, hearing("We had soup on the harbour wall.")).shouts
