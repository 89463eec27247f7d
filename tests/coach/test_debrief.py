"""The closing debrief: the right things, in the right order, within twenty seconds."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.coach.debrief import debrief, speaking_seconds
from rehearse.coach.pace import DEBRIEF_SECONDS
from rehearse.coach.phrasebook import phrasebook
from rehearse.coach.progress import told_as_step
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict

BOOK = phrasebook("en")


def found(verdict: Verdict, step_id: str, why: str = "", missing: str = "") -> StepResult:
    """A step's result, resting on two seconds of speech."""
    return StepResult(step_id, verdict, 0.5, "words", 1.0, 3.0, why, missing)


def result(procedure: Procedure, *steps: StepResult, extras: tuple[Extra, ...] = ()) -> Result:
    """These verdicts, and every other step said."""
    given_verdicts = {step.id: step for step in steps}
    rows = tuple(
        given_verdicts.get(step.id, found(Verdict.SAID, step.id)) for step in procedure.steps
    )
    passed = all(row.verdict is Verdict.SAID for row in rows)
    return Result(procedure.id, 1, passed, rows, extras)


def test_all_said(procedure: Procedure) -> None:
    """A right take is praised in one sentence."""
    assert debrief(procedure, result(procedure), BOOK) == "Well done. You said all 5 steps."


def test_all_said_and_yet_not_passed(procedure: Procedure) -> None:
    """Praise is withheld when the take does not pass, for instance for its time."""
    slow = replace(result(procedure), passed=False)
    assert debrief(procedure, slow, BOOK) == (
        "You said all 5 steps. The report says why this take does not pass."
    )


def test_nothing_said(procedure: Procedure) -> None:
    """Silence is not called a mistake in every step's own words before it is named."""
    rows = [found(Verdict.NOT_SAID, step.id) for step in procedure.steps]
    text = debrief(procedure, result(procedure, *rows), BOOK)
    assert text.startswith("I did not hear any of the 5 steps. First: You left out: Turn the mode")


def test_most_important_first(procedure: Procedure) -> None:
    """A forbidden action, then a wrong critical step, a missing one, then the rest."""
    extra = Extra("pulled it", True, "The toggle stays covered.", 8.0, 9.0)
    text = debrief(
        procedure,
        result(
            procedure,
            found(Verdict.OUT_OF_ORDER, "flap"),
            found(Verdict.WRONG, "panes", "You said white. The panes show amber."),
            found(Verdict.NOT_SAID, "drum"),
            extras=(extra,),
        ),
        BOOK,
    )
    places = [text.index(words) for words in ("toggle", "You said white", "Turn the mode")]
    assert places == sorted(places)
    assert text.startswith("You said 2 of 5 steps. First: The toggle stays covered. Then: ")


@pytest.mark.parametrize(
    ("step", "sentence"),
    [
        (found(Verdict.NOT_SAID, "pin"), "You left out: Let the spring pin snap home and"),
        (found(Verdict.INCOMPLETE, "pin", missing="close the flap."), "left out: close the flap."),
        (found(Verdict.INCOMPLETE, "pin"), "You said only part of: Let the spring pin"),
        (found(Verdict.WRONG, "pin", "You said open."), "You said open."),
        (found(Verdict.OUT_OF_ORDER, "pin"), "This came out of order: Let the spring pin"),
        (found(Verdict.UNCLEAR, "pin"), "I could not hear clearly: Let the spring pin"),
    ],
)
def test_each_verdict_has_its_sentence(
    procedure: Procedure, step: StepResult, sentence: str
) -> None:
    """What was left out and what was wrong is said in so many words."""
    text = debrief(procedure, result(procedure, step), BOOK)
    assert text.startswith("You said 4 of 5 steps. ")
    assert sentence in text


def test_a_wrong_step_is_not_told_twice(procedure: Procedure) -> None:
    """A dangerous extra on the words of a wrong step is that step's own story."""
    wrong = found(Verdict.WRONG, "drum", "You said disarmed.")
    extra = Extra("words", True, "The drum must not go to disarmed.", 1.0, 3.0)
    text = debrief(procedure, result(procedure, wrong, extras=(extra,)), BOOK)
    assert text == "You said 4 of 5 steps. You said disarmed."


def test_what_does_not_fit_is_counted(procedure: Procedure) -> None:
    """Where time is short the least important points go, and their number is said."""
    rows = [found(Verdict.NOT_SAID, step.id) for step in procedure.steps]
    text = debrief(procedure, result(procedure, *rows), BOOK, seconds=14.0)
    assert text == (
        "I did not hear any of the 5 steps. First: You left out: Turn the mode drum. "
        "Then: Check both witness panes show. 3 more are in the report."
    )


def test_a_slower_voice_says_less(procedure: Procedure) -> None:
    """The limit is one of time, so it depends on the rate."""
    rows = [found(Verdict.NOT_SAID, step.id) for step in procedure.steps]
    texts = [
        debrief(procedure, result(procedure, *rows), BOOK, words_per_minute=rate)
        for rate in (60, 300)
    ]
    assert len(texts[0].split()) < len(texts[1].split())


WORDS = st.lists(
    st.text(st.characters(categories=("Ll", "Lu", "Nd")), min_size=1, max_size=14),
    min_size=1,
    max_size=30,
).map(" ".join)


@st.composite
def judged(draw: st.DrawFn) -> tuple[Procedure, Result]:
    """A procedure of up to thirty steps and any verdicts on it."""
    steps = tuple(
        Step(f"s{at}", draw(WORDS), critical=draw(st.booleans()))
        for at in range(draw(st.integers(1, 30)))
    )
    procedure = Procedure(
        id="any",
        title="Any",
        aircraft="tarn-240",
        positions=(),
        language="en",
        revision=Revision(1, date(2026, 10, 1), ""),
        order="strict",
        pass_rule=PassRule(),
        steps=steps,
    )
    rows = [found(draw(st.sampled_from(Verdict)), step.id, draw(WORDS)) for step in steps]
    extras = draw(st.lists(st.builds(Extra, WORDS, st.booleans(), WORDS), max_size=3))
    return procedure, result(procedure, *rows, extras=tuple(extras))


@given(judged(), st.integers(120, 200))
def test_never_longer_than_twenty_seconds(case: tuple[Procedure, Result], rate: int) -> None:
    """Whatever went wrong, the debrief fits, opens with the count and loses no point silently."""
    procedure, verdicts = case
    text = debrief(procedure, verdicts, BOOK, words_per_minute=rate)
    assert speaking_seconds(text, rate) <= DEBRIEF_SECONDS
    assert text.startswith(("Well done.", "You said ", "I did not hear any"))
    extras = [e for e in verdicts.extras if e.dangerous and not told_as_step(e, verdicts)]
    points = len(extras) + sum(step.verdict is not Verdict.SAID for step in verdicts.steps)
    left = re.search(r"(\d+) more (?:is|are) in the report\.$", text)
    dropped = int(left[1]) if left else 0
    listed = text.count("First: ") + text.count("Then: ")
    assert points - dropped in ({listed} if listed else {0, 1})
