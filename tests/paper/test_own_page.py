from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pytest

from rehearse.judge.verdict import Verdict
from rehearse.paper.own_page import own_text, series, strength, weakest
from rehearse.paper.own_picture import MARGIN, WIDTH, own_picture
from rehearse.paper.values import OwnPage, Practice, PractisedStep
from rehearse.paper.wrapping import wrapped
from rehearse.safety import NOTICE

SVG = "{http://www.w3.org/2000/svg}"
SAID, WRONG = Verdict.SAID, Verdict.WRONG


def step(number: int, *verdicts: Verdict, critical: bool = False) -> PractisedStep:
    """A step that was tried with these verdicts."""
    return PractisedStep("p", "Doors", number, f"Do thing {number}", critical, verdicts)


def test_the_weakest_step_comes_first(own: OwnPage) -> None:
    """The share said over the last ten tries decides, few tries weigh little, critical first."""
    steps = (
        step(1, *[SAID] * 10),
        step(2, SAID),
        step(3, WRONG),
        step(4, *[WRONG] * 9, SAID),
        step(5, WRONG, critical=True),
        step(6, *[WRONG] * 30, *[SAID] * 10),
        step(7),
    )
    ranked = weakest(replace(own, steps=steps))
    assert [one.number for one in ranked] == [4, 5, 3, 2, 1, 6]
    assert strength(steps[3]) == pytest.approx(2 / 12)
    assert strength(steps[5]) == pytest.approx(11 / 12)


def test_the_weakest_procedure_comes_first(own: OwnPage) -> None:
    """By the share said in its last take, whatever order the takes are given in."""
    shuffled = replace(own, practices=own.practices[::-1])
    assert [one.procedure for one in series(shuffled)] == [
        "cabin-fire",
        "evacuation",
        "arm-door-2l",
    ]
    assert own_text(shuffled) == own_text(own)
    assert own_picture(shuffled) == own_picture(own)


def test_the_text_tells_takes_and_steps(own: OwnPage) -> None:
    """Each take with its date in the operator's zone and what was said; each step's tries."""
    text = own_text(own)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "  2026-10-25 18:00  ####################    6 of 6  practice, passed" in text
    assert "  2026-10-22 19:00  #################...    5 of 6  practice, passed" in text
    assert text.count("oral check, ") == 2
    assert text.count("practice, ") == 26
    said, wrong = weakest(own)[-1], weakest(own)[0]
    assert text.index(f"1. {wrong.say}") < text.index(f"10. {said.say}")
    assert "    said 5 of 10 times: 2 wrong, 2 out of order, 1 not said" in text
    flat = " ".join(text.split())
    assert NOTICE in flat
    assert own.heading.chain_head in flat


def test_an_empty_page_says_so(own: OwnPage) -> None:
    """Somebody who has not practised yet gets a page, not an error."""
    empty = replace(own, practices=(), steps=())
    assert "No takes yet." in own_text(empty)
    assert "No step was tried yet." in own_text(empty)
    picture = own_picture(empty)
    assert "No takes yet." in picture
    assert ET.fromstring(picture).find(f"{SVG}desc") is not None  # noqa: S314


def drawn(page: OwnPage) -> ET.Element:
    """The picture's tree; it must be well formed."""
    return ET.fromstring(own_picture(page))  # noqa: S314


def test_the_picture_holds_every_take_and_try(own: OwnPage) -> None:
    """A dot for each take, filled when it passed, a square round each check; a mark a try."""
    tree = drawn(own)
    dots = [dot for dot in tree.iter(f"{SVG}circle") if dot.get("r") == "3.6"]
    filled = [dot for dot in dots if dot.get("fill") == "#111"]
    key = 3
    assert len(dots) == len(own.practices) + key
    assert len(filled) == sum(one.passed for one in own.practices) + 2
    squares = [one for one in tree.iter(f"{SVG}rect") if one.get("width") == "14"]
    assert len(squares) == sum(one.checked for one in own.practices) + 1
    marks = [one for one in tree.iter(f"{SVG}g") if (one.get("transform") or "").startswith("tr")]
    assert len(marks) == sum(min(10, len(one.verdicts)) for one in own.steps) + len(Verdict)
    told = [one.text for one in tree.iter(f"{SVG}title")]
    assert "2026-10-25 18:00: 6 of 6 steps, practice, passed" in told
    texts = " ".join(one.text or "" for one in tree.iter(f"{SVG}text"))
    assert NOTICE in texts


def test_higher_is_better_and_later_is_further_right(own: OwnPage) -> None:
    """A dot's height is the share of steps said; its place is its date."""
    takes = tuple(
        Practice(datetime(2026, 1, day, tzinfo=UTC), "p", "Doors", said, 4, passed=False)
        for day, said in ((1, 0), (2, 4), (9, 2))
    )
    dots = [
        (float(dot.get("cx", "")), float(dot.get("cy", "")))
        for dot in drawn(replace(own, practices=takes)).iter(f"{SVG}circle")
        if dot.get("r") == "3.6"
    ][-3:]
    (none_x, none_y), (all_x, all_y), (half_x, half_y) = dots
    assert all_x - none_x == pytest.approx((half_x - none_x) / 8, abs=0.2)
    assert none_y - half_y == pytest.approx(half_y - all_y, abs=0.2)
    assert none_y > half_y > all_y


def test_the_picture_uses_no_colour(own: OwnPage) -> None:
    """Printed in greyscale it tells the same: every colour in it is a grey."""
    colours = set(re.findall(r"#[0-9a-f]{3,6}\b", own_picture(own)))
    assert len(colours) > 3
    for colour in colours:
        digits = colour[1:]
        part = len(digits) // 3
        assert len({digits[at : at + part] for at in range(0, len(digits), part)}) == 1, colour


@pytest.mark.parametrize(
    "name",
    [
        "<script>\"x\"</script> & 'y'",
        "N" * 300,
        "김민수 " * 30,
        "a\0b\x1b\u202e\ufffe\ud800",
        "أحمد",
    ],
)
def test_any_name_fits_a_phone(own: OwnPage, name: str) -> None:
    """Markup in a name stays text, long names wrap inside the picture, control letters go."""
    named = replace(
        own,
        person=replace(own.person, name=name),
        steps=(replace(own.steps[0], say=name, title=name),),
    )
    tree = drawn(named)
    assert not list(tree.iter(f"{SVG}script"))
    lines = [one for one in tree.iter(f"{SVG}text") if "title" in (one.get("class") or "")]
    assert all(float(one.get("x", "")) == MARGIN for one in lines)
    shown = "".join((one.text or "").replace(" ", "") for one in tree.iter(f"{SVG}text"))
    visible = "".join(c for c in name if c.isprintable() and c != " ")
    assert visible in shown
    assert "\0" not in own_picture(named)
    assert own_picture(named).encode()
    assert own_text(named).encode()
    assert "\x1b" not in own_text(named)


DEJAVU_BOLD = {"m": 1.042, "w": 0.924, "e": 0.678, "n": 0.712, "i": 0.343, "W": 1.103, "0": 0.696}


@pytest.mark.parametrize("word", ["W" * 60, "m" * 60, "enwim" * 20, "0" * 60])
def test_a_long_name_is_not_cut_off_at_the_edge(own: OwnPage, word: str) -> None:
    """Set heavy in the widest of the fonts that may draw it, a name ran out of the picture."""
    tree = drawn(replace(own, person=replace(own.person, name=word)))
    lines = [one for one in tree.iter(f"{SVG}text") if one.get("class") == "title"]
    names = [one.text or "" for one in lines if set(one.text or "") <= set(word)]
    assert "".join(names) == word
    for name in names:
        assert 19 * sum(DEJAVU_BOLD[letter] for letter in name) <= WIDTH - MARGIN


def test_the_picture_holds_the_whole_chain_head(own: OwnPage) -> None:
    """A part of the head proves nothing later: `records verify --known` takes all of it."""
    text = "".join("".join(one.itertext()) for one in drawn(own).iter(f"{SVG}text"))
    assert own.heading.chain_head in text.replace(" ", "")
    assert f"{own.heading.made:%Y-%m-%d}" in text


def test_no_line_is_wider_than_the_picture() -> None:
    """Wide letters take twice the room; a word without blanks is cut."""
    assert wrapped("aa bb cc", 5) == ["aa bb", "cc"]
    assert wrapped("abcdefgh", 3) == ["abc", "def", "gh"]
    assert all(len(line) <= 5 for line in wrapped("김" * 40, 10))
    assert "".join(wrapped("e\u0301" * 9, 2)) == "e\u0301" * 9
    assert wrapped("", 9) == []
    assert WIDTH <= 360
