"""The time axis of a drill's picture, and the texts beside it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rehearse.drill.shown.axis import CUT, QUIET, axis, beside

SPANS = st.lists(
    st.tuples(st.floats(0, 200), st.floats(0, 5)).map(lambda s: (s[0], s[0] + s[1])), max_size=12
)


@settings(max_examples=40)
@given(SPANS, st.floats(8, 30))
def test_time_only_runs_down_and_evenly(spans: list[tuple[float, float]], scale: float) -> None:
    """A second takes as much room everywhere but in a cut, so that a rhythm can be seen."""
    along = axis(spans, 50.0, scale)
    assert along.top == 50.0
    for before, after in zip(along.pieces, along.pieces[1:], strict=False):
        assert (before.end, before.bottom) == (after.start, after.top)
    for piece in along.pieces:
        room = piece.bottom - piece.top
        assert room == pytest.approx(CUT if piece.cut else (piece.end - piece.start) * scale)
        middle = along.y((piece.start + piece.end) / 2)
        assert middle == pytest.approx((piece.top + piece.bottom) / 2)


@settings(max_examples=40)
@given(SPANS)
def test_nothing_that_happens_is_cut_out(spans: list[tuple[float, float]]) -> None:
    """Only quiet is left out, and only where it is long."""
    for piece in axis(spans, 0.0, 10.0).pieces:
        if piece.cut:
            assert all(end <= piece.start or start >= piece.end for start, end in spans)
            assert piece.end - piece.start > QUIET - 2


def test_moments_beyond_the_ends_stand_at_the_ends() -> None:
    """A shout before the first cue must not be drawn into the title."""
    along = axis([(10.0, 12.0)], 100.0, 10.0)
    assert along.y(0.0) == 100.0
    assert along.y(99.0) == along.bottom
    assert [second for _, second in along.seconds(1)] == [10, 11, 12]


BOXES = st.lists(st.tuples(st.floats(0, 500), st.floats(1, 60)), max_size=15).map(sorted)


@settings(max_examples=40)
@given(BOXES)
def test_texts_never_overlap_and_never_change_places(boxes: list[tuple[float, float]]) -> None:
    """A text belongs to its moment: the later moment's text stands below."""
    wanted, heights = [w for w, _ in boxes], [h for _, h in boxes]
    tops = beside(wanted, heights)
    for at in range(1, len(tops)):
        assert tops[at] >= tops[at - 1] + heights[at - 1] - 1e-6


@settings(max_examples=40)
@given(BOXES, st.floats(-20, 20), st.integers(0, 14))
def test_texts_stand_as_near_as_can_be(
    boxes: list[tuple[float, float]], by: float, which: int
) -> None:
    """No other places without overlap are nearer: moving any run of boxes makes it worse."""
    wanted, heights = [w for w, _ in boxes], [h for _, h in boxes]
    tops = beside(wanted, heights)
    for end in range(len(tops)):
        moved = [t + by if min(which, end) <= at <= end else t for at, t in enumerate(tops)]
        apart = all(
            moved[at] >= moved[at - 1] + heights[at - 1] - 1e-9 for at in range(1, len(moved))
        )
        far = sum((a - b) ** 2 for a, b in zip(moved, wanted, strict=True))
        best = sum((a - b) ** 2 for a, b in zip(tops, wanted, strict=True))
        assert not apart or far >= best - 1e-3


def test_texts_with_room_stand_where_they_are_wanted() -> None:
    """Nothing is pushed about that need not be."""
    assert beside([10.0, 40.0, 41.0], [15.0, 10.0, 10.0]) == [10.0, 35.5, 45.5]
    assert beside([], []) == []
