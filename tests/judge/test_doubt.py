"""What the sound leaves in doubt never credits a critical step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from rehearse.book.model import Procedure
from rehearse.events import Heard
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.thresholds import thresholds
from rehearse.judge.verdict import StepResult, Verdict
from rehearse.language.english import English

Doubted = Callable[[str, str, float], Heard]
Judge = Callable[[Procedure, Heard, str], StepResult]

DRUM = "turn the mode drum a quarter turn towards the hinge to armed"
CALL = "door two left armed and cross checked"
CLOSE = thresholds().doubtful_margin - 0.1


@pytest.fixture
def judge(rule: Readers, english: English) -> Judge:
    """The result of one step after one utterance."""

    def judged(procedure: Procedure, heard: Heard, step: str) -> StepResult:
        assessor = Assessor(procedure, rule, english)
        assessor.add(heard)
        return assessor.result().step(step)

    return judged


@pytest.mark.parametrize("word", ["armed", "towards", "quarter"])
def test_a_doubtful_slot_makes_a_critical_step_unclear(
    judge: Judge, doubted: Doubted, arm: Procedure, word: str
) -> None:
    """If the sound fits the opposite of any slot of the step nearly as well, it is unclear."""
    result = judge(arm, doubted(DRUM, word, CLOSE), "drum")
    assert result.verdict is Verdict.UNCLEAR
    assert word in result.why


@pytest.mark.parametrize("margin", [-5.0, 0.0, CLOSE])
def test_the_sound_may_even_prefer_the_opposite(
    judge: Judge, doubted: Doubted, arm: Procedure, margin: float
) -> None:
    """However bad the margin, the text is not believed; it is never credited."""
    assert judge(arm, doubted(DRUM, "armed", margin), "drum").verdict is Verdict.UNCLEAR


def test_a_clear_flip_test_changes_nothing(judge: Judge, doubted: Doubted, arm: Procedure) -> None:
    """With margins wide enough the step is said."""
    heard = doubted(DRUM, "armed", thresholds().doubtful_margin)
    assert judge(arm, heard, "drum").verdict is Verdict.SAID


def test_words_that_decide_nothing_may_be_in_doubt(
    judge: Judge, doubted: Doubted, arm: Procedure
) -> None:
    """A doubtful word that is no slot of the step takes no credit away."""
    assert judge(arm, doubted(DRUM, "mode", 0.0), "drum").verdict is Verdict.SAID


def test_a_step_that_is_not_critical_is_not_held_up(
    judge: Judge, doubted: Doubted, arm: Procedure
) -> None:
    """Where nothing depends on it, the speaker is not asked to say it again."""
    steps = tuple(replace(step, critical=False) for step in arm.steps)
    heard = doubted(DRUM, "armed", CLOSE)
    assert judge(replace(arm, steps=steps), heard, "drum").verdict is Verdict.SAID


@pytest.mark.parametrize(("critical", "verdict"), [(True, "unclear"), (False, "said")])
def test_a_doubtful_word_of_a_command(
    judge: Judge, doubted: Doubted, arm: Procedure, critical: bool, verdict: str
) -> None:
    """Every word of a critical command counts, so any doubt makes it unclear."""
    steps = tuple(replace(step, critical=critical) if step.command else step for step in arm.steps)
    result = judge(replace(arm, steps=steps), doubted(CALL, "armed", CLOSE), "call")
    assert result.verdict == verdict


def test_a_wrong_word_is_wrong_whatever_the_sound_says(
    judge: Judge, doubted: Doubted, arm: Procedure
) -> None:
    """A contradicting text is not turned into the right one by a doubt about it."""
    heard = doubted(DRUM.replace("armed", "disarmed"), "disarmed", CLOSE)
    assert judge(arm, heard, "drum").verdict is not Verdict.SAID
