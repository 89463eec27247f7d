"""Where one zone of the cabin ends and the next begins, and their names where there is room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.paper.letters import legible
from rehearse.plan.frame import MARK, Frame
from rehearse.plan.lettering import width
from rehearse.plan.marking import cabin
from rehearse.plan.scale import Scale
from rehearse.plan.shapes import Box, Line, Marker, Point
from rehearse.register.model import Register

_SIZE = 2.3  # millimetres, of a zone's name
_AT = 1.6  # millimetres; a line so near to a zigzag could not be told from it
_STEP = 0.5  # millimetres between places that are tried for a name


def boundaries(register: Register, along: Scale, shared: Frame) -> tuple[tuple[Point, Point], ...]:
    """A line across the cabin at every inner border of two zones."""
    starts = sorted({zone.start for zone in register.zones})[1:]
    lines = (_clear(along.y(start), along) for start in starts if along.shows(start))
    return tuple(
        ((shared.left, y), (shared.right, y)) for y in lines if along.top < y < along.bottom
    )


def _clear(y: float, along: Scale) -> float:
    """The place, or the middle of a shortened stretch that it is in or at."""
    for one in along.of("short"):
        if one.top - _AT < y < one.bottom + _AT:
            return (one.top + one.bottom) / 2
    return y


def names(
    register: Register, along: Scale, shared: Frame, markers: Sequence[Marker]
) -> Iterator[Line]:
    """The name of each zone in the middle of the cabin, where nothing else stands."""
    taken = [marker.box for marker in markers]
    taken += [
        Box(shared.width / 2, (one.top + one.bottom) / 2, shared.cabin, one.bottom - one.top + 3.0)
        for one in along.of("short")
    ]
    lines = boundaries(register, along, shared)
    taken += [Box(shared.width / 2, start[1], shared.cabin, 0.4) for start, _ in lines]
    within = cabin(along, shared)
    for zone in register.zones:
        text = legible(zone.name)
        first = max(along.y(zone.start), within.top) + MARK / 2
        last = min(along.y(zone.end), within.bottom) - MARK / 2
        here = _free(Box(shared.width / 2, first, width(text, _SIZE), _SIZE + 0.4), last, taken)
        if here is not None and here.width < shared.cabin - 2:
            yield Line(here.x, here.y + 0.36 * _SIZE, text, _SIZE, "middle zone")


def _free(box: Box, last: float, taken: Sequence[Box]) -> Box | None:
    """The first place from the box downwards that is free."""
    while box.y <= last:
        if not any(box.overlap(other, 0.4)[1] for other in taken):
            return box
        box = box.at(box.x, box.y + _STEP)
    return None
