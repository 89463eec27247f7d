from __future__ import annotations

from dataclasses import replace

import pytest

from rehearse.book.model import PassRule
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.record.report import Report, clean, clock, outcome, reasons, tally


def judged(report: Report, **verdicts: Verdict) -> Report:
    """The report with other verdicts on some steps."""
    steps = tuple(
        replace(step, verdict=verdicts.get(step.id, step.verdict)) for step in report.result.steps
    )
    return replace(report, result=replace(report.result, steps=steps))


def test_why_it_did_not_pass(report: Report) -> None:
    """Each critical step that was not said is named, then what was forbidden, then the share."""
    assert outcome(report) == "Not passed"
    assert tally(report) == "1 said, 1 incomplete, 1 wrong, 1 not said, 1 unclear"
    assert reasons(report) == (
        "Critical step 2 is wrong.",
        "Critical step 4 is not said.",
        "Something was said that the procedure forbids.",
        "1 of 5 steps is said, and 80% are asked for.",
    )


def test_why_it_passed(report: Report) -> None:
    """A pass says what was asked for; what was forbidden is told all the same."""
    said = judged(report, drum=Verdict.SAID, panes=Verdict.SAID, call=Verdict.SAID)
    said = replace(said, result=replace(said.result, passed=True))
    assert outcome(said) == "Passed"
    assert reasons(said) == (
        "Something was said that the procedure forbids.",
        "4 of 5 steps are said; the procedure asks for every critical step and 80% of them.",
    )


@pytest.mark.parametrize(
    ("rule", "asked"),
    [
        (PassRule("all", 1.0), "all of them"),
        (PassRule("none", 0.2), "20% of them"),
        (PassRule("none", 0.2, 30.0), "20% of them and no more than 30 seconds"),
        (
            PassRule("all", 0.2, 30.0),
            "every critical step, 20% of them and no more than 30 seconds",
        ),
    ],
)
def test_what_is_asked_for(report: Report, rule: PassRule, asked: str) -> None:
    """The pass rule is told in words."""
    everything = judged(report, **{step.id: Verdict.SAID for step in report.result.steps})
    ruled = replace(everything, procedure=replace(report.procedure, pass_rule=rule))
    assert f"the procedure asks for {asked}." in reasons(ruled)[1]


def test_too_slow(report: Report) -> None:
    """A limit of time that was missed is told with both numbers, lost sound with it."""
    slow = replace(
        report,
        procedure=replace(report.procedure, pass_rule=PassRule("none", 0.0, 12.0)),
        events=(*report.events, Overflow(10.0, 0.3)),
    )
    assert reasons(slow)[-2:] == (
        "The steps took 19.6 seconds, and 12 are allowed.",
        "Sound was lost meanwhile, so the time is void.",
    )


def test_extras_are_ordered(report: Report) -> None:
    """Dangerous extras come first."""
    assert [extra.dangerous for extra in report.extras] == [True, False]


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00.0"), (9.96, "0:10.0"), (59.97, "1:00.0"), (75.24, "1:15.2"), (3725.5, "1:02:05.5")],
)
def test_clock(seconds: float, text: str) -> None:
    """Times read as on a clock, rounded without ever showing sixty seconds."""
    assert clock(seconds) == text


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("two\nlines\tand  blanks", "two lines and blanks"),
        ("a\x1b[31mred", "a[31mred"),
        ("left \u202eright\u202c", "left right"),
        ("null\x00 bell\x07", "null bell"),
        ("न\u094d\u200dय 👩\u200d✈", "न\u094d\u200dय 👩\u200d✈"),
    ],
)
def test_clean(text: str, cleaned: str) -> None:
    """What would move a cursor or turn the reading is taken out; every script stays whole."""
    assert clean(text) == cleaned
