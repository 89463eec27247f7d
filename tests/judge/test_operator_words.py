"""An operator's own words, through the judge and through what is listened for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from rehearse.book.model import Procedure, Step
from rehearse.hear.expectation import expect
from rehearse.judge.verdict import Result, Verdict
from rehearse.language.additions import Additions
from rehearse.language.english import English
from rehearse.language.lexicon import Contrast

Says = Callable[..., Result]

WORDS = Additions(
    synonyms=(("mode drum", "selector"),),
    contrasts=(
        Contrast("latching", ("home", "proud"), ((("home",), ("proud",)),), {}, frozenset()),
        Contrast("arming", (), (), {"armed": (("in", "automatic"),)}, frozenset()),
    ),
    designators=(("LC2", "2L"), ("main left", "2L"), ("purser", "C1")),
    units=(("psi", "pounds per square inch"), ("bar",)),
    abbreviations=(("PBE", "smoke hood"),),
)
STEPS = (
    Step("drum", "Turn the mode drum to armed", critical=True),
    Step("hood", "Put the smoke hood on at door 2 left"),
    Step("tell", "Tell C1 that the bottle shows 1800 psi"),
    Step("pin", "Check that the spring pin is home"),
    Step("call", "Mode drum set at two left", command=True),
)

CASES = [
    ("drum", "turn the selector to armed", Verdict.SAID),
    ("drum", "turn the selector to disarmed", Verdict.WRONG),
    ("drum", "turn the mode drum to in automatic", Verdict.SAID),
    ("hood", "put the p b e on at door two left", Verdict.SAID),
    ("hood", "put the PBE on at door l c two", Verdict.SAID),
    ("hood", "put the PBE on at two right", Verdict.WRONG),
    ("tell", "tell the purser that the bottle shows 1800 pounds per square inch", Verdict.SAID),
    ("tell", "tell the purser that the bottle shows 1800 bar", Verdict.WRONG),
    ("pin", "check that the spring pin is proud", Verdict.WRONG),
    ("pin", "check that the spring pin is home", Verdict.SAID),
    ("call", "mode drum set at main left", Verdict.SAID),
]


@pytest.fixture
def procedure(arm: Procedure) -> Procedure:
    """Steps that name what the operator calls otherwise."""
    return replace(arm, steps=STEPS, lexicon=WORDS)


@pytest.mark.parametrize(("step", "said", "expected"), CASES)
def test_the_judge_reads_the_operators_words(
    step: str, said: str, expected: Verdict, procedure: Procedure, says: Says
) -> None:
    """Synonyms, contrasts, designators, units and abbreviations each decide a verdict."""
    one = replace(procedure, steps=tuple(s for s in STEPS if s.id == step))
    assert says(one, said).step(step).verdict is expected


def test_without_them_the_same_words_are_strange(procedure: Procedure, says: Says) -> None:
    """It is the lexicon that makes the difference, not luck."""
    plain = replace(procedure, lexicon=Additions())
    credited = [
        step
        for step, said, expected in CASES
        if expected is Verdict.SAID and says(plain, said).step(step).verdict is Verdict.SAID
    ]
    assert credited == ["pin"]
    assert says(plain, "check that the spring pin is proud").step("pin").verdict is not (
        Verdict.WRONG
    )


def test_a_command_takes_no_synonym(procedure: Procedure, says: Says) -> None:
    """Word by word means the very words; only a spelling may differ."""
    assert says(procedure, "selector set at two left").step("call").verdict is not Verdict.SAID


def test_the_ear_expects_both_sides(procedure: Procedure) -> None:
    """What the operator opposes is listened for on both sides, and its spellings are known."""
    language = English(procedure.words)
    expectation = expect(procedure, language)
    assert "Check that the spring pin is proud" in expectation.contrasts
    assert any("selector" in text for text in language.spellings(STEPS[0].say))
    assert any("p b e" in text for text in language.spellings(STEPS[1].say))
