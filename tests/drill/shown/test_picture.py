"""The picture of a drill: what it holds, where, and that it reads without colour."""

from __future__ import annotations

import re
import struct
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from rehearse.drill.shown.chart import chart
from rehearse.drill.shown.facts import KINDS
from rehearse.drill.shown.picture import picture
from rehearse.drill.shown.sheet import WIDTH
from rehearse.drill.values import DrillResult, Kind, Limits
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import NOT_MEASURED, Measured
from rehearse.paper.png import png
from rehearse.paper.typeset import PaperError
from rehearse.safety import NOTICE
from tests.drill.shown.conftest import CALL, shout, with_answer

SVG = "{http://www.w3.org/2000/svg}"


def drawn(result: DrillResult) -> ET.Element:
    """The picture's tree; it must be well formed."""
    return ET.fromstring(picture(result))  # noqa: S314


def texts(tree: ET.Element) -> list[str]:
    """What stands in the picture."""
    return ["".join(one.itertext()) for one in tree.iter(f"{SVG}text")]


@pytest.fixture
def mixed(good: DrillResult) -> DrillResult:
    """A shout of every kind, one of them without a level, and lost sound."""
    kinds = [kind for kind in Kind if kind is not Kind.ANSWER]
    shouts = [
        replace(shout(24.6 + 2 * at, f"words {kind}", "fails", "", 3.0 + at), kind=kind, why="Why.")
        for at, kind in enumerate(kinds)
    ]
    shouts[0] = replace(shouts[0], level=NOT_MEASURED)
    return replace(
        good, passed=False, shouts=(*good.shouts[:5], *shouts), lost=(Overflow(30.0, 0.3),)
    )


def test_every_shout_is_a_bar_as_long_as_it_was_loud(mixed: DrillResult) -> None:
    """Its top is when it began, its height how long it took, its length its level."""
    shown = chart(mixed, 100.0)
    assert len(shown.bars) == len(mixed.shouts)
    by_time = sorted(mixed.shouts, key=lambda one: one.start)
    for bar, one in zip(shown.bars, by_time, strict=True):
        assert bar.y == pytest.approx(shown.axis.y(one.start))
        assert bar.height == pytest.approx(shown.axis.y(one.end) - shown.axis.y(one.start))
        assert bar.kind.split()[0] == one.kind.value
    measured = [
        (one.level.value, bar.width)
        for bar, one in zip(shown.bars, by_time, strict=True)
        if one.level.value is not None
    ]
    widths = [width / level for level, width in measured]
    assert widths == pytest.approx([widths[0]] * len(widths), rel=0.01)
    assert [bar.kind for bar in shown.bars].count("flawed unknown") == 1


def test_a_level_below_the_calm_voice_goes_the_other_way(good: DrillResult) -> None:
    """Quieter than calm is no short shout to the right."""
    quiet = replace(good.shouts[0], level=Measured(-6.0, 0.4))
    shown = chart(replace(good, shouts=(quiet, *good.shouts[1:])), 0.0)
    assert shown.bars[0].x + shown.bars[0].width == pytest.approx(shown.bars[1].x)


def test_without_a_calm_level_louder_is_still_longer(good: DrillResult) -> None:
    """Levels over full scale are all below nought; a louder shout has the longer bar."""
    levels = (-30.0, -20.0, -10.0)
    shouts = [
        replace(shout, level=Measured(level, 0.4))
        for shout, level in zip(good.shouts, levels, strict=False)
    ]
    bars = chart(replace(good, calm=NOT_MEASURED, shouts=tuple(shouts)), 0.0).bars
    widths = [bar.width for bar in bars]
    assert widths == sorted(widths)
    assert widths[2] == pytest.approx(widths[0] * 50 / 30, rel=0.01)


def test_a_long_cue_does_not_run_into_the_heading(good: DrillResult) -> None:
    """A first cue of many words stands below the title, its moment with it."""
    told = "A colleague at the door calls: the slide hangs, it does not fill, stop them! " * 2
    stages = (replace(good.stages[0], told=told), *good.stages[1:])
    shown = chart(replace(good, stages=stages), 200.0)
    assert shown.captions[0].top >= 200.0
    assert shown.axis.top >= 200.0


def test_cues_limits_and_shouts_are_named_in_order(good: DrillResult) -> None:
    """Cues with their words, limits with their seconds, shouts, and what repeats as such."""
    shown = [text for one in chart(good, 0.0).captions for text in one.main]
    assert shown == [
        "evacuation signal",
        "Belts off! Bags",
        "down! This way out!",
        "begun by now (3 s)",
        "again",
        "again",
        "again",
        "kept on until now (10 s)",
        "over: answered",
        "Colleague: Slide not",
        "inflated!",
        "Door dead! Turn",
        "back!",
        "left off by now (2 s)",
        "begun by now (3 s)",
        "again",
        "again",
        "again",
        "kept on until now (10 s)",
        "over: answered",
    ]


def test_limits_stand_where_their_time_is_up(good: DrillResult) -> None:
    """They run from the cue; the one for going on from the first word."""
    shown = chart(good, 0.0)
    spans = {(line.sort, line.top, line.bottom) for line in shown.limits}
    y = shown.axis.y
    assert spans == {
        ("begin", y(6.0), y(9.0)),
        ("keep", y(7.23), y(17.23)),
        ("stop", y(21.4), y(23.4)),
        ("begin", y(21.4), y(24.4)),
        ("keep", y(23.0), y(33.0)),
    }
    assert not any(line.broken for line in shown.limits)
    for one in shown.limits:
        for other in shown.limits:
            apart = one.bottom <= other.top or other.bottom <= one.top
            assert one is other or apart or one.x != other.x


def test_a_broken_limit_is_heavy_and_says_no(good: DrillResult) -> None:
    """Late, too short, and shouting on are seen without reading the figures."""
    late = with_answer(good, 0, reaction=Measured(4.0, 0.1), went_on=Measured(5.0, 0.1))
    old = replace(shout(24.0, CALL, "fails", "signal.call"), kind=Kind.STALE)
    shown = chart(replace(late, shouts=(*late.shouts, old)), 0.0)
    broken = [line.sort for line in shown.limits if line.broken]
    assert sorted(broken) == ["begin", "keep", "stop"]
    said = " ".join(line for one in shown.captions for line in one.main)
    assert said.count(": no") == 3


def test_an_answer_that_never_came_breaks_its_limit(good: DrillResult) -> None:
    """Without a reaction there is a limit to begin, and none to go on."""
    never = with_answer(good, 0, verdict=Verdict.NOT_SAID, reaction=NOT_MEASURED)
    first = [line for line in chart(never, 0.0).limits if line.top < chart(never, 0.0).axis.y(20)]
    assert [(line.sort, line.broken) for line in first] == [("begin", True)]


def test_levels_asked_for_are_drawn_only_over_the_calm_voice(good: DrillResult) -> None:
    """Over full scale a line for ten decibels would stand anywhere."""
    calm = with_answer(good, 1, limits=Limits(calmer=6.0))
    asked = [(line.sort, line.x) for line in chart(calm, 0.0).asked]
    assert [sort for sort, _ in asked] == ["least", "most"]
    assert asked[0][1] > asked[1][1]
    bare = replace(calm, calm=NOT_MEASURED)
    assert not chart(bare, 0.0).asked
    assert "dB full scale" in texts(drawn(bare))
    assert "dB over calm voice" in texts(drawn(calm))


def test_no_texts_overlap_and_none_stands_outside(mixed: DrillResult) -> None:
    """Cues, notes and lost sound crowd round one moment; each stays readable and within."""
    shown = chart(mixed, 140.0)
    bottom = 140.0
    for one in shown.captions:
        assert one.top >= bottom - 1e-6
        bottom = one.top + one.height
    assert bottom <= shown.bottom
    tree = drawn(mixed)
    height = float(tree.get("height", ""))
    assert tree.get("viewBox") == f"0 0 {WIDTH} {height:g}"
    assert all(0 < float(one.get("y", "")) < height for one in tree.iter(f"{SVG}text"))


def test_the_picture_says_what_was_measured(mixed: DrillResult) -> None:
    """Every measure with its error, every reason, the outcome, the key and the notice."""
    text = " ".join(texts(drawn(mixed)))
    for part in (
        "Not passed",
        "after 1.23 ± 0.04 s (at most 3 s)",
        "0.4 ± 0.7 dB",
        "0.30 s of sound lost",
        "no level",
        *KINDS.values(),
        NOTICE,
    ):
        assert part in text, part
    told = drawn(mixed).find(f"{SVG}desc")
    assert told is not None
    assert "began after 1.23 ± 0.04 s (at most 3 s)" in (told.text or "")


def test_the_picture_uses_no_colour_and_no_two_kinds_look_alike(mixed: DrillResult) -> None:
    """In greyscale and for who cannot tell colours: only greys, a pattern for each kind."""
    svg = picture(mixed)
    colours = set(re.findall(r"(?<!url\()#([0-9a-f]{6}|[0-9a-f]{3})\b", svg))
    assert len(colours) > 3
    for colour in colours:
        part = len(colour) // 3
        assert len({colour[at : at + part] for at in range(0, len(colour), part)}) == 1, colour
    fills = re.findall(r"^\.bar\.(\w+) \{ fill: ([^;]+);", svg, re.MULTILINE)
    assert {kind for kind, _ in fills} == {kind.value for kind in Kind} | {"unknown"}
    assert len({fill for _, fill in fills}) == len(fills)


@pytest.mark.parametrize("nasty", ["<b>&\"'</b>", "W" * 200, "김민수 " * 20, "a\x1b\u202e\ud800"])
def test_any_text_stays_text(good: DrillResult, nasty: str) -> None:
    """Titles, cues and heard words cannot break the picture."""
    hostile = replace(
        good,
        title=nasty,
        stages=(replace(good.stages[0], told=nasty), *good.stages[1:]),
        shouts=(replace(good.shouts[0], text=nasty, kind=Kind.OTHER), *good.shouts[1:]),
    )
    tree = drawn(hostile)
    assert not list(tree.iter(f"{SVG}b"))
    assert picture(hostile).encode()
    assert "\x1b" not in picture(hostile)


def test_a_drill_in_which_nothing_happened_can_be_drawn(good: DrillResult) -> None:
    """Stopped before its first cue: an empty axis, no fault of the tool."""
    none = replace(good, passed=False, stages=(), shouts=(), why_ended="stopped")
    text = " ".join(texts(drawn(none)))
    assert "stopped by the trainee" in text
    assert "No answer was asked for." in text


def test_the_png_is_twice_the_drawing_and_the_same_again(mixed: DrillResult) -> None:
    """Sharp on a phone, and the same result gives the same bytes."""
    svg = picture(mixed)
    made = png(svg)
    assert made.startswith(b"\x89PNG")
    width, height = struct.unpack(">II", made[16:24])
    assert width == 2 * WIDTH
    assert height == 2 * int(re.findall(r'height="(\d+)"', svg)[0])
    assert png(picture(mixed)) == made


def test_what_is_no_drawing_is_refused_in_one_line() -> None:
    """No traceback of a library."""
    with pytest.raises(PaperError, match="cannot be drawn") as refused:
        png("<svg")
    assert "\n" not in str(refused.value)


def test_the_same_command_in_another_stage_is_no_repeat(good: DrillResult) -> None:
    """After a change the words stand in full again."""
    twice = replace(good, shouts=(*good.shouts[:4], shout(23.0, CALL, "fails", "fails.call")))
    shown = [one.main for one in chart(twice, 0.0).captions if one.item.shout]
    assert shown[-1] == shown[0]
