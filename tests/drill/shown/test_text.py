"""A drill's result on a terminal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.cells import cell_len

from rehearse.drill.shown.facts import measured
from rehearse.drill.shown.text import plain
from rehearse.drill.values import DrillResult, Kind
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured
from rehearse.safety import NOTICE
from tests.drill.shown.conftest import CALL, shout, with_answer


def flat(text: str) -> str:
    """The text with its line breaks and columns of blanks taken out."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", [40, 80, 132])
def test_fits_the_width_and_leaves_nothing_out(good: DrillResult, width: int) -> None:
    """Cues, answers, measures with their errors and limits, and the notice, at any width."""
    text = plain(good, (("Take", "2026-11-27-101500"),), width)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    assert "\u2026" not in text
    for part in (
        "Signalled evacuation at door 2 left",
        "4711",
        "2026-11-27-101500",
        "Colleague: Slide not inflated!",
        f"+ said {CALL}",
        "after 1.23 ± 0.04 s (at most 3 s)",
        "10.5 ± 0.1 s (at least 10 s)",
        "+14.0 ± 0.4 dB over the calm voice (at least +10 dB)",
        "0.4 ± 0.7 dB",
        "Passed.",
        NOTICE,
    ):
        assert part in flat(text)


def test_faults_stand_where_they_belong(good: DrillResult) -> None:
    """A fault of an answer stands below that answer, and the outcome counts them."""
    late = with_answer(good, 0, reaction=Measured(4.2, 0.1), faults=("Too late.",))
    text = plain(late)
    assert text.index(CALL) < text.index("! Too late.") < text.index("Colleague")
    assert "Not passed. 1 fault, marked with !." in text


def test_what_was_not_measured_says_why(good: DrillResult) -> None:
    """A void measure is no zero: the reason stands in its place."""
    void = with_answer(
        good,
        0,
        verdict=Verdict.NOT_SAID,
        reaction=Measured(None, 0.0, "sound was lost"),
        level=NOT_MEASURED,
    )
    void = replace(void, lost=(Overflow(7.0, 0.25),), clipped=0.5)
    text = flat(plain(void))
    assert "- not said" in text
    assert "began not measured: sound was lost" in text
    assert "level not measured: nothing was said" in text
    assert "0.25 s at 0:07.0; times across it are void" in text
    assert "50% of the shouts" in text


def test_an_answer_before_the_end_of_its_cue_says_so(good: DrillResult) -> None:
    """A negative reaction is told as what it is."""
    early = with_answer(good, 0, reaction=Measured(-0.4, 0.02))
    assert "began 0.40 ± 0.02 s before the cue was over (at most 3 s)" in flat(plain(early))


def test_other_shouts_are_listed_with_their_reason(good: DrillResult) -> None:
    """What did not count can be looked up: when, what was heard, and why it did not."""
    flawed = replace(
        shout(26.0, "Door dead! Come back!", "fails", "fails.dead"),
        kind=Kind.FLAWED,
        why="Said come, not turn.",
    )
    text = flat(plain(replace(good, shouts=(*good.shouts, flawed))))
    assert (
        "0:26.0 “Door dead! Come back!” not word for word Said come, not turn. "
        "+14.0 ± 0.4 dB over the calm voice" in text
    )
    assert "Also said" not in plain(good)


def test_levels_without_a_calm_level_say_so(good: DrillResult) -> None:
    """Without a baseline a level is over full scale, and is not shown as over the voice."""
    bare = replace(good, calm=Measured(None, 0.0, "no baseline"))
    text = flat(plain(bare))
    assert "dB over the calm voice" not in text
    assert "14.0 ± 0.4 dB over full scale" in text
    assert "Calm level not measured: no baseline" in text


def test_nothing_in_a_text_can_move_the_cursor(good: DrillResult) -> None:
    """Titles and heard words come from files and recognisers."""
    nasty = replace(good, title="a\x1b[2J\u202eb", shouts=(replace(good.shouts[0], text="\x1b[H"),))
    assert "\x1b" not in plain(nasty)
    assert "\u202e" not in plain(nasty)


@pytest.mark.parametrize(
    ("value", "error", "expected"),
    [
        (1.234, 0.041, "1.23 ± 0.05 s"),
        (1.0, 0.0, "1.00 s"),
        (-0.001, 0.01, "0.00 ± 0.01 s"),
    ],
)
def test_an_error_is_never_told_smaller_than_it_is(
    value: float, error: float, expected: str
) -> None:
    """Rounded up, and no measure reads minus nought."""
    assert measured(Measured(value, error), " s", 2) == expected
