from __future__ import annotations

from dataclasses import replace

import pytest

from rehearse.drill.model import Outcome
from rehearse.drill.values import Answered, DrillResult, Kind, Limits, Shout, Staged
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured

CALL = "Belts off! Bags down! This way out!"
DEAD = "Door dead! Turn back!"
LIMITS = Limits(within=3.0, every=4.0, lasts=10.0, louder=10.0)
NOTHING = Measured(None, 0.0, "nothing was silenced")


def shout(start: float, text: str, stage: str, answer: str, level: float = 14.0) -> Shout:
    """One right saying that takes a second and a half."""
    return Shout(
        start,
        start + 1.5,
        text,
        stage,
        Kind.ANSWER,
        answer,
        level=Measured(level, 0.4),
        pitch=Measured(240.0, 5.0),
    )


def answered(answer: str, say: str, reaction: float, count: int) -> Answered:
    """An answer given as the drill asks, every three seconds."""
    return Answered(
        answer,
        say,
        critical=True,
        verdict=Verdict.SAID,
        reaction=Measured(reaction, 0.04),
        count=count,
        rate=Measured(20.0, 0.5),
        unevenness=Measured(0.08, 0.02),
        silence=Measured(1.6, 0.06),
        went_on=Measured(3.0 * count - 1.5, 0.05),
        level=Measured(14.0, 0.4),
        limits=LIMITS,
    )


def evacuation() -> DrillResult:
    """A signalled evacuation in which the slide fails, answered as the drill asks."""
    call, dead = "signal.call", "fails.dead"
    return DrillResult(
        drill="evacuation-door-2l",
        title="Signalled evacuation at door 2 left",
        revision=2,
        seed=4711,
        passed=True,
        stages=(
            Staged(
                "signal",
                "evacuation signal",
                cue=6.0,
                cue_start=6.0,
                cue_end=9.0,
                ended=19.2,
                outcome=Outcome.ANSWERED,
                answers=(answered(call, CALL, 1.23, 4),),
                stopped=NOTHING,
            ),
            Staged(
                "fails",
                "Colleague: Slide not inflated!",
                cue=21.4,
                cue_start=21.4,
                cue_end=22.9,
                ended=35.0,
                outcome=Outcome.ANSWERED,
                answers=(answered(dead, DEAD, 1.6, 4),),
                stopped=Measured(0.0, 0.1),
                stop_within=2.0,
            ),
        ),
        shouts=(
            *(shout(7.23 + 3 * at, CALL, "signal", call, 15.0 - at) for at in range(4)),
            *(shout(23.0 + 3 * at, DEAD, "fails", dead, 14.5) for at in range(4)),
        ),
        calm=Measured(-31.5, 0.6),
        drop=Measured(0.4, 0.7),
        strain=Measured(0.3, 0.4),
        clipped=0.0,
        lost=(),
        why_ended="finished",
    )


@pytest.fixture
def good() -> DrillResult:
    """Everything as the drill asks."""
    return evacuation()


def with_answer(result: DrillResult, at: int, **changed: object) -> DrillResult:
    """The result, not passed, with the first answer of its stage number `at` changed."""
    stage = result.stages[at]
    first = replace(stage.answers[0], **changed)  # type: ignore[arg-type]
    stages = list(result.stages)
    stages[at] = replace(stage, answers=(first, *stage.answers[1:]))
    return replace(result, passed=False, stages=tuple(stages))
