"""The past drills of one person, as text and as a picture."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from rehearse.drill.shown.trends import MEASURES, Past, Trend, series, trend, turn
from rehearse.drill.shown.trends_picture import DRILLS, MOST, trends_picture
from rehearse.drill.shown.trends_text import trends_text
from rehearse.drill.values import Limits
from rehearse.measured import NOT_MEASURED, Measured
from rehearse.paper.png import png
from rehearse.safety import NOTICE
from tests.drill.shown.conftest import evacuation, with_answer

SVG = "{http://www.w3.org/2000/svg}"
FIRST = datetime(2026, 10, 1, 18, tzinfo=UTC)
REACTION, LEVEL, UNEVENNESS = MEASURES


def past(reactions: Sequence[float | None], error: float = 0.05) -> list[Past]:
    """Runs three days apart; every second one passed; None: sound was lost."""
    runs = []
    for at, reaction in enumerate(reactions):
        result = evacuation()
        for stage in (0, 1):
            result = with_answer(result, stage, reaction=Measured(reaction, error))
        runs.append(Past(FIRST + timedelta(days=3 * at), replace(result, passed=at % 2 == 1)))
    return runs


def test_a_run_is_told_by_its_medians() -> None:
    """One slow answer of many does not stand for the run; errors go along."""
    found = turn(Past(FIRST, evacuation()))
    assert found.reaction.value == pytest.approx(1.415)
    assert found.level.value == pytest.approx(14.5)
    assert (found.reaction.error, found.level.error) == (0.04, 0.4)
    assert found.unevenness == Measured(0.08, 0.02)


def test_a_calm_answer_does_not_lower_the_level() -> None:
    """What had to be calm says nothing of how loud somebody can be."""
    calm = with_answer(evacuation(), 1, limits=Limits(calmer=6.0))
    assert turn(Past(FIRST, calm)).level.value == pytest.approx(13.5)
    bare = replace(evacuation(), calm=NOT_MEASURED)
    assert turn(Past(FIRST, bare)).level.value is None


def test_runs_stand_in_order_by_drill() -> None:
    """Oldest first within a drill, the drill that was run last first, however they come in."""
    runs = past([2.0, 1.0])
    other = Past(FIRST + timedelta(days=1), replace(evacuation(), drill="ditching", title="D"))
    for given in ([*runs, other], [other, *reversed(runs)]):
        found = series(given)
        assert [one.drill for one in found] == ["evacuation-door-2l", "ditching"]
        assert [t.reaction.value for t in found[0].turns] == [2.0, 1.0]


@pytest.mark.parametrize(
    ("reactions", "expected"),
    [
        ([2.4, 2.3, 2.2, 1.9, 1.8, 1.5, 1.4], Trend.LOWER),
        ([1.4, 1.5, 1.6, 1.9, 2.0, 2.1], Trend.HIGHER),
        ([2.4, 2.3, 1.8, 1.9, 1.7, 1.6], Trend.UNCLEAR),
        ([1.70, 1.70, 1.70, 1.62, 1.62, 1.62], Trend.UNCLEAR),
        ([2.4, 2.3, 2.2, 1.8, 1.5], Trend.UNKNOWN),
        ([2.4, 2.3, 2.2, None, None, 1.8], Trend.UNKNOWN),
    ],
)
def test_a_change_is_only_told_when_it_is_certain(
    reactions: list[float | None], expected: Trend
) -> None:
    """Runs that overlap, differ by no more than their errors, or are few, show no progress."""
    (one,) = series(past(reactions))
    assert trend(one, REACTION) is expected


def test_the_text_has_every_run_and_what_changed() -> None:
    """Date, outcome, figures with their errors, what was not measured, and the notice."""
    text = trends_text(past([2.4, 2.3, 2.2, None, 1.8, 1.5, 1.4]))
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "  2026-10-01 18:00  not passed  2.40 ± 0.05 s" in text
    assert "  2026-10-04 18:00  passed      2.30 ± 0.05 s  14.5 ± 0.4 dB  0.08 ± 0.02\n" in text
    assert "  2026-10-10 18:00  passed      -" in text
    assert "passed 3 of 7" in text
    assert "Reaction: quicker than at first" in text
    assert "Level over calm voice: no clear change" in text
    assert NOTICE in " ".join(text.split())


def test_no_drills_yet() -> None:
    """Somebody who has not begun gets a page, not an error."""
    assert "No drills yet." in trends_text([])
    assert "No drills yet." in trends_picture([])


def drawn(runs: Sequence[Past], name: str = "") -> ET.Element:
    """The picture's tree; it must be well formed."""
    return ET.fromstring(trends_picture(runs, name))  # noqa: S314


def test_every_run_is_a_dot_at_its_height() -> None:
    """Higher is more, later is further right, filled passed; what is void is no nought."""
    runs = past([2.0, 1.0, None, 1.5])
    dots = [
        (float(dot.get("cx", "")), float(dot.get("cy", "")), dot.get("fill"))
        for dot in drawn(runs).iter(f"{SVG}circle")
    ]
    reaction, key = dots[:3], 2
    assert len(dots) == 3 + 4 + 4 + key
    (first, second, last) = reaction
    assert second[0] - first[0] == pytest.approx((last[0] - first[0]) / 3, abs=0.2)
    assert second[1] - first[1] == pytest.approx(2 * (last[1] - first[1]), abs=0.3)
    assert second[1] > first[1]
    assert [fill for _, _, fill in reaction] == ["#fff", "#111", "#111"]
    texts = " ".join("".join(one.itertext()) for one in drawn(runs).iter(f"{SVG}text"))
    assert "Reaction: last 1.50 ± 0.05 s" in texts
    assert "2026-10-10" in texts
    assert NOTICE in texts


def test_many_runs_and_drills_stay_readable() -> None:
    """The newest runs and drills are drawn, and the picture says what is left out."""
    runs = past([1.0] * (MOST + 5))
    runs += [
        Past(FIRST - timedelta(days=at + 1), replace(evacuation(), drill=f"d{at}"))
        for at in range(DRILLS + 1)
    ]
    tree = drawn(runs)
    xs = sorted({float(dot.get("cx", "")) for dot in tree.iter(f"{SVG}circle")})
    assert len(list(tree.iter(f"{SVG}circle"))) == 3 * (MOST + DRILLS - 1) + 2
    assert min(b - a for a, b in pairwise(xs[2:])) > 5
    texts = " ".join("".join(one.itertext()) for one in tree.iter(f"{SVG}text"))
    assert f"the last {MOST} are drawn" in texts
    assert "and 2 drills run longer ago" in texts


def test_it_reads_without_colour_and_any_name_stays_text() -> None:
    """Only greys; a name cannot break the picture; it can be made a PNG."""
    svg = trends_picture(past([1.0, 2.0]), "<b>김</b>&\x1b")
    assert not list(ET.fromstring(svg).iter(f"{SVG}b"))  # noqa: S314
    for colour in re.findall(r"#([0-9a-f]{6}|[0-9a-f]{3})\b", svg):
        part = len(colour) // 3
        assert len({colour[at : at + part] for at in range(0, len(colour), part)}) == 1
    assert png(svg.replace("김", "K")).startswith(b"\x89PNG")


def test_measures_are_told_by_what_they_mean() -> None:
    """Lower is quicker for a time and quieter for a level."""
    assert REACTION.told(Trend.LOWER) == "quicker than at first"
    assert LEVEL.told(Trend.HIGHER) == "louder than at first"
    assert UNEVENNESS.told(Trend.LOWER) == "more even than at first"
