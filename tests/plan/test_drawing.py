"""The cabin plan: nothing lies on anything else, nothing is missing, nothing is made up."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rehearse.paper.values import Paper
from rehearse.plan import svg
from rehearse.plan.drawing import locator, plan, sheets
from rehearse.plan.lettering import width
from rehearse.plan.shapes import Box, Drawing, Line
from rehearse.plan.sheet import ROOM, TITLE
from rehearse.plan.spreading import Piece, spread
from rehearse.register.model import Register
from rehearse.safety import NOTICE

SVG = "{http://www.w3.org/2000/svg}"


def drawn(register: Register, paper: Paper) -> tuple[Drawing, ...]:
    """The sheets of this size."""
    wide, high = ROOM[paper]
    return sheets(register, wide, high - TITLE)


def overlapping(boxes: Sequence[Box]) -> list[tuple[Box, Box]]:
    """The pairs that lie on each other by more than rounding."""
    return [pair for pair in combinations(boxes, 2) if min(pair[0].overlap(pair[1])) > 1e-3]


def written(line: Line) -> Box:
    """The room a line of text takes, below and above its baseline too."""
    wide = width(line.text, line.size)
    left = line.x - (wide if "end" in line.kind else wide / 2 if "middle" in line.kind else 0.0)
    return Box(left + wide / 2, line.y - 0.25 * line.size, wide, line.size)


@pytest.mark.parametrize("paper", Paper)
def test_nothing_lies_on_anything_else(shipped: Register, paper: Paper) -> None:
    """If this fails, a label or a marker hides another on the printed plan."""
    (drawing,) = drawn(shipped, paper)
    markers = [marker.box for marker in drawing.markers]
    assert overlapping(markers) == []
    assert overlapping([label.box for label in drawing.labels]) == []
    names = [written(line) for line in drawing.words if "zone" in line.kind]
    assert len(names) == len(shipped.zones)
    assert overlapping([*markers, *names]) == []


@pytest.mark.parametrize("paper", Paper)
def test_nothing_is_clipped(shipped: Register, paper: Paper) -> None:
    """If this fails, words run over the sheet's edge, into the plan or out of their label."""
    (drawing,) = drawn(shipped, paper)
    every = [*(m.box for m in drawing.markers), *map(written, drawing.words)]
    assert all(box.left >= -0.01 and box.right <= drawing.width + 0.01 for box in every)
    assert all(box.top >= 0 and box.bottom <= drawing.height for box in every)
    for label in drawing.labels:
        for box in map(written, label.lines):
            assert label.box.left - 0.01 <= box.left
            assert box.right <= label.box.right + 0.01
            assert label.box.top - 0.2 <= box.top
            assert box.bottom <= label.box.bottom + 0.2


def test_everything_is_on_the_plan(shipped: Register) -> None:
    """If this fails, a door, seat, station or item of the register is not shown."""
    (drawing,) = drawn(shipped, Paper.A4)
    shown = {(marker.sort in {"door", "hatch"}, marker.id) for marker in drawing.markers}
    assert shown == {
        *((True, door.id) for door in shipped.doors),
        *((False, position.id) for position in shipped.positions),
        *((False, station.id) for station in shipped.stations),
    }
    numbers = {m.id: m.text for m in drawing.markers if m.sort == "station"}
    assert {label.station: str(label.number) for label in drawing.labels} == numbers
    assert len(set(numbers.values())) == len(shipped.stations)
    for label in drawing.labels:
        station = shipped.station(label.station)
        text = " ".join(line.text.replace("\u00a0", " ") for line in label.lines)
        assert text.startswith(station.name)
        for item in station.items:
            assert f"{item.count} {shipped.kind(item.kind).named(item.count)}" in text


def test_places_keep_their_order(shipped: Register) -> None:
    """If this fails, a station is drawn on the wrong side or before one that lies before it."""
    (drawing,) = drawn(shipped, Paper.A4)
    at = {m.id: m.box for m in drawing.markers if m.sort == "station"}
    for station in shipped.stations:
        aside = at[station.id].x - drawing.width / 2
        assert {"left": aside < 0, "right": aside > 0}.get(station.side, True)
    for one, other in combinations(shipped.stations, 2):
        if one.at[0] + 1.2 < other.at[0]:
            assert at[one.id].y < at[other.id].y
    ends = [(label.leader[-1], at[label.station]) for label in drawing.labels]
    assert all(end == (box.x, box.y) for end, box in ends)


def test_lines_to_labels_do_not_cross(shipped: Register) -> None:
    """If this fails, a reader follows a line to the wrong label."""
    (drawing,) = drawn(shipped, Paper.A4)
    for one, other in combinations(drawing.labels, 2):
        if one.side == other.side:
            pairs = zip(one.leader[:3], other.leader[:3], strict=True)
            assert len({a[1] < b[1] for a, b in pairs}) == 1


def test_a_crowded_aircraft_goes_on_to_more_sheets(crowded: Register) -> None:
    """If this fails, labels of a large aircraft lie on each other or stations are left out."""
    found = drawn(crowded, Paper.LETTER)
    assert len(found) > 1
    stations = [label.station for drawing in found for label in drawing.labels]
    assert sorted(stations) == sorted(station.id for station in crowded.stations)
    for drawing in found:
        assert overlapping([label.box for label in drawing.labels]) == []
        assert drawing.height == found[0].height
        assert all(label.box.top >= 0 for label in drawing.labels)
        assert all(label.box.bottom <= drawing.height for label in drawing.labels)
    alone = plan(crowded, *ROOM[Paper.A4])
    assert alone.height > ROOM[Paper.A4][1]
    assert overlapping([label.box for label in alone.labels]) == []


def test_the_svg_stands_by_itself(crowded: Register, shipped: Register) -> None:
    """If this fails, the file is no picture, lacks title, revision or notice, or has colours."""
    text = svg.by_itself(plan(shipped, 178, 230), f"{shipped.name}: cabin plan", "Revision 7")
    tree = ET.fromstring(text)  # noqa: S314
    words = " ".join(one.text or "" for one in tree.iter(f"{SVG}text"))
    for part in (NOTICE, f"{shipped.name}: cabin plan", "Revision 7", "Nose up."):
        assert part in words
    told = " ".join(one.text or "" for one in tree.iter(f"{SVG}desc"))
    assert all(station.place in told for station in shipped.stations)
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", text)) == {"#000", "#fff"}
    other = ET.fromstring(svg.bare(plan(crowded, 178, 230)))  # noqa: S314
    assert not list(other.iter(f"{SVG}b"))


def test_the_small_plan_shows_one_position(shipped: Register) -> None:
    """If this fails, a card points at another seat, or not at what the position takes."""
    for position in shipped.positions:
        drawing = locator(shipped, position, 46, 108)
        assert [m.id for m in drawing.markers if m.sort == "own"] == [position.id]
        taken = {one.station for one in position.takes}
        assert {m.id for m in drawing.markers if m.sort == "station"} == taken
        assert overlapping([marker.box for marker in drawing.markers]) == []


@given(st.lists(st.tuples(st.floats(-50, 150), st.floats(0.5, 9)), max_size=20))
def test_spread_keeps_order_and_room(wishes: list[tuple[float, float]]) -> None:
    """If this fails, pieces in a row overlap, change places or move without need."""
    pieces = [Piece(wish, size) for wish, size in sorted(wishes)]
    low, high = 0.0, 200.0
    middles = spread(pieces, low, high)
    ends = [(m - p.size / 2, m + p.size / 2) for m, p in zip(middles, pieces, strict=True)]
    assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(ends))
    assert all(start >= low - 1e-6 and end <= high + 1e-6 for start, end in ends)
    if len(pieces) == 1:
        half = pieces[0].size / 2
        assert middles[0] == pytest.approx(max(low + half, min(pieces[0].wish, high - half)))
