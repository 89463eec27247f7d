"""Markers that would lie on each other moved apart, within the cabin and as little as needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.plan.shapes import Box

GAP = 0.5  # millimetres between two markers
_TOUCH = 1e-6  # millimetres; less is rounding
_ROUNDS = 500  # of pushing; a cabin with room is done long before


def apart(boxes: Sequence[Box], room: Box) -> list[Box]:
    """The boxes, each pair of them apart, none outside the room.

    Overlapping pairs push each other away along the shorter way, by halves, until none is left.
    Where the room is too small for all, they stay on each other as little as can be.
    """
    placed = [_within(box, room) for box in boxes]
    for _ in range(_ROUNDS):
        touching = False
        for one, other in _neighbours(placed):
            across, down = placed[one].overlap(placed[other], GAP)
            if down > _TOUCH:
                pushed = _pushed(placed[one], placed[other], across, down)
                placed[one], placed[other] = (_within(box, room) for box in pushed)
                touching = True
        if not touching:
            break
    return placed


def _neighbours(boxes: Sequence[Box]) -> Iterator[tuple[int, int]]:
    """The pairs that are near enough along the cabin to touch, as they stand now."""
    order = sorted(range(len(boxes)), key=lambda at: (boxes[at].y, at))
    tops = [boxes[at].top - GAP for at in order]
    bottoms = [boxes[at].bottom for at in order]
    for place, at in enumerate(order):
        for after in range(place + 1, len(order)):
            if tops[after] > bottoms[place]:
                break
            yield min(at, order[after]), max(at, order[after])


def _pushed(one: Box, other: Box, across: float, down: float) -> tuple[Box, Box]:
    """Both, half the way each; of two at one place the first goes forward."""
    if across < down:
        half = across / 2 if one.x > other.x else -across / 2
        return one.at(one.x + half, one.y), other.at(other.x - half, other.y)
    half = down / 2 if one.y > other.y else -down / 2
    return one.at(one.x, one.y + half), other.at(other.x, other.y - half)


def _within(box: Box, room: Box) -> Box:
    return box.at(
        max(room.left + box.width / 2, min(box.x, room.right - box.width / 2)),
        max(room.top + box.height / 2, min(box.y, room.bottom - box.height / 2)),
    )
