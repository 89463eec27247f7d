"""Scored drills beside what was put into them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rehearse.bench.drill_cases import Case, Fault, Intent
from rehearse.bench.drill_lines import late, lines
from rehearse.bench.drill_truth import Beside, Pair, beside
from rehearse.bench.drill_wordings import WORDINGS
from rehearse.bench.shouting import Said
from rehearse.drill.model import Outcome
from rehearse.drill.values import Answered, DrillResult, Kind, Shout, Staged
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured

SLIDE, ACROSS = WORDINGS["slide"], WORDINGS["across"]


def intent(text: str, answer: str) -> Intent:
    """Something meant to be said; its times take no part."""
    return Intent(text, answer, True, 0.5, 12.0)


CASE = Case(
    7,
    0,
    10.0,
    Fault.WRONG,
    (SLIDE, ACROSS),
    ((intent(SLIDE.say, "slide.call"),), (intent(ACROSS.wrong[0], "across.call"),)),
)
TWICE = (
    Said(SLIDE.say, "slide.call", True, 2.0, 3.0, 12.0),
    Said(SLIDE.say, "slide.call", True, 5.0, 6.0, 9.0),
)
NEVER = Said(ACROSS.wrong[0], "across.call", False, 10.0, 11.0, 12.0)


def shout(start: float, answer: str, kind: Kind = Kind.ANSWER, level: float = 12.5) -> Shout:
    """One second of shouting."""
    text = "Slide! Two by two!"
    return Shout(start, start + 1, text, "slide", kind, answer, level=Measured(level, 1.0))


def answered(name: str, verdict: Verdict, reaction: Measured, rate: Measured) -> Answered:
    """How an answer was given, as far as it matters here."""
    none = NOT_MEASURED
    return Answered(name, "", True, verdict, reaction, 2, rate, none, none, none, none)


def result(*shouts: Shout, across: Verdict = Verdict.WRONG) -> DrillResult:
    """The case as it was scored: the cues at 1 s and 8 s."""
    stages = (
        answered("slide.call", Verdict.SAID, Measured(1.03, 0.04), Measured(20.5, 0.5)),
        answered("across.call", across, NOT_MEASURED, NOT_MEASURED),
    )
    return DrillResult(
        "measured-7", "", 1, 7, False,
        tuple(
            Staged(answer.answer.split(".")[0], "", cue, cue, cue + 0.5, cue + 6,
                   Outcome.ANSWERED, (answer,), NOT_MEASURED)
            for answer, cue in zip(stages, (1.0, 8.0), strict=True)
        ),
        shouts, NOT_MEASURED, NOT_MEASURED, NOT_MEASURED, 0.0, (), "finished",
    )  # fmt: skip


def compared(*shouts: Shout, across: Verdict = Verdict.WRONG) -> Beside:
    """The case beside such a result."""
    return beside(CASE, "ann", (*TWICE, NEVER), result(*shouts, across=across))


def test_what_was_found_is_set_beside_what_was_put_in() -> None:
    """The errors of the measures would be others than those told of."""
    found = compared(
        shout(2.0, "slide.call"), shout(5.0, "slide.call", level=9.0),
        shout(10.0, "across.call", Kind.FLAWED),
    )  # fmt: skip
    assert (found.right, found.recognised, found.wrong, found.accepted) == (2, 2, 1, 0)
    assert [pair.error for pair in found.reactions] == pytest.approx([0.03])
    assert [pair.error for pair in found.levels] == pytest.approx([0.5, 0.0])
    assert [pair.error for pair in found.changes] == pytest.approx([-0.5])
    assert [(pair.truth, pair.measured) for pair in found.rates] == [(20.0, 20.5)]
    assert (found.counted, found.invented) == (2, 0)
    assert found.odd == ()


def test_a_command_counted_twice_is_told() -> None:
    """Somebody who shouts too seldom would pass, and no figure would show it."""
    found = compared(*(shout(at, "slide.call") for at in (2.0, 3.1, 5.0)))
    assert (found.recognised, found.counted, found.invented) == (2, 3, 1)
    assert found.odd == ("invented: 'Slide! Two by two!' from 3.10 to 4.10 s",)


def test_a_right_saying_that_was_lost_is_counted_and_named() -> None:
    """A correct speaker who must repeat would not show in the figures."""
    found = compared(shout(2.0, "slide.call", Kind.FLAWED), shout(5.0, "slide.call"))
    assert (found.right, found.recognised, found.later) == (2, 1, 1)
    assert found.reactions == found.rates == ()
    assert "not recognised: 'Slide! Two by two!' at 2.00 s, heard: flawed" in found.odd[0]


def test_a_shout_elsewhere_or_for_something_else_recognises_nothing() -> None:
    """Recognition would look perfect as long as anything is heard."""
    assert compared(shout(3.2, "slide.call"), shout(5.0, "across.call")).recognised == 0


def test_a_wrong_saying_that_was_taken_for_an_answer_is_counted_and_named() -> None:
    """The worst fault would not show in the figures."""
    found = compared(shout(9.8, "slide.call"), across=Verdict.SAID)
    assert (found.accepted, found.credited, found.answers) == (1, 1, 1)
    assert any(line.startswith("accepted: 'This side! Stay here!'") for line in found.odd)
    assert "credited without being said: across.call" in found.odd


def test_nothing_heard_is_told_so() -> None:
    """A lost saying would be listed without saying why."""
    assert compared().odd[0].endswith("heard: nothing")


def test_the_late_error_has_an_interval_that_narrows() -> None:
    """95 % would be read off few drills as if it were sure."""
    draw = np.random.default_rng(1)
    few, many = (late([float(e) for e in draw.uniform(-1, 1, n)]) for n in (60, 6000))
    assert many.value == pytest.approx(0.95, abs=0.01)
    assert many.low < 0.95 < many.high
    assert many.high - many.low < few.high - few.low
    with pytest.raises(ValueError, match="no errors"):
        late([])


def test_the_figures_tell_each_noise_apart_and_name_what_went_wrong() -> None:
    """A good figure in silence would hide a bad one in noise."""
    good = compared(shout(2.0, "slide.call"), shout(5.0, "slide.call"))
    clean = replace(good, snr=None, reactions=(Pair(1.0, 1.01, 0.04),))
    told = list(lines([replace(good, odd=("not recognised: x",)), clean]))
    text = "\n".join(told)
    (clean_line,) = (line for line in told if line.startswith("reaction, ms, clean"))
    (noisy_line,) = (line for line in told if line.startswith("reaction, ms, 10 dB"))
    assert clean_line.split()[3:7] == ["1", "10", "10", "10"]
    assert noisy_line.split()[4:8] == ["1", "30", "30", "30"]
    assert "wrong sayings accepted" in text
    assert "0/2" in text
    assert "  drill 7, ann, 10 dB: not recognised: x" in told
