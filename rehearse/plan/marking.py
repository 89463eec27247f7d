"""The markers of a plan: doors at the walls, crew seats and stations inside, none on another."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from rehearse.plan.apart import apart
from rehearse.plan.frame import LETTERS, MARK, Frame, door_text, door_width
from rehearse.plan.lettering import width
from rehearse.plan.scale import Scale
from rehearse.plan.shapes import Box, Marker, Sort
from rehearse.plan.spreading import Piece, spread
from rehearse.register.model import Door, Position, Register, Station

SLIDES = {"none": 0, "slide": 1, "slide-raft": 2}  # chevrons outside the door
SIDES = {"left": -1, "centre": 0, "right": 1}
_OUTSIDE = 0.9  # millimetres that a door's marker reaches into the cabin
_WALL = 1.4  # millimetres between a wall and what stands inside


def doors(register: Register, scale: Scale, frame: Frame) -> list[Marker]:
    """The doors at the walls, in order along each side."""
    shown = [door for door in register.doors if scale.shows(door.at[0])]
    found: list[Marker] = []
    for name, side in SIDES.items():
        row = sorted((d for d in shown if d.side == name), key=lambda door: door.at[0])
        pieces = [Piece(scale.y(door.at[0]), MARK + 0.6) for door in row]
        middles = spread(pieces, scale.top, scale.bottom)
        found += [_door(*one, side, frame) for one in zip(row, middles, strict=True)]
    return found


def _door(door: Door, y: float, side: int, frame: Frame) -> Marker:
    wide = door_width(door.id)
    wall = {-1: frame.left + _OUTSIDE, 1: frame.right - _OUTSIDE}.get(side, frame.x(door.at[1]))
    box = Box(wall + side * wide / 2, y, wide, MARK)
    sort: Sort = "hatch" if door.kind == "hatch" else "door"
    slide = SLIDES[door.slide] if side else 0
    told = door.name if door.slide == "none" else f"{door.name}, {door.slide}"
    return Marker(sort, door.id, door_text(door.id), told, box, slide, side)


def inside(
    register: Register,
    scale: Scale,
    frame: Frame,
    stations: Mapping[str, str],
    own: Collection[str] = (),
) -> list[Marker]:
    """Crew seats and stations, moved apart.

    stations: the ids of those shown, with what stands in their markers.
    own: positions that are drawn heavy.
    """
    seats = [p for p in register.positions if scale.shows(p.at[0])]
    kept = [register.station(name) for name in stations]
    markers = [
        *(_seat(seat, scale, frame, own) for seat in seats),
        *(_station(station, stations[station.id], scale, frame) for station in kept),
    ]
    boxes = apart([marker.box for marker in markers], cabin(scale, frame))
    return [
        Marker(m.sort, m.id, m.text, m.told, box) for m, box in zip(markers, boxes, strict=True)
    ]


def cabin(scale: Scale, frame: Frame) -> Box:
    """The room between the walls, without nose and tail."""
    top = scale.of("nose")[-1].bottom if scale.of("nose") else scale.top + 1.0
    bottom = scale.of("tail")[0].top if scale.of("tail") else scale.bottom - 1.0
    middle = ((frame.left + frame.right) / 2, (top + bottom) / 2)
    return Box(*middle, frame.cabin - 2 * _WALL, bottom - top)


def _seat(seat: Position, scale: Scale, frame: Frame, own: Collection[str]) -> Marker:
    box = Box(frame.x(seat.at[1]), scale.y(seat.at[0]), width(seat.id, LETTERS) + 2.6, MARK)
    return Marker("own" if seat.id in own else "position", seat.id, seat.id, seat.name, box)


def _station(station: Station, text: str, scale: Scale, frame: Frame) -> Marker:
    box = Box(frame.x(station.at[1]), scale.y(station.at[0]), badge(text), MARK)
    return Marker("station", station.id, text, station.name, box)


def badge(text: str) -> float:
    """How wide the marker of a station is."""
    return max(MARK, width(text, LETTERS) + 1.6)


def numbers(register: Register) -> dict[str, int]:
    """Every station with its number, counted from the nose and from left to right."""
    ordered: Sequence[Station] = sorted(register.stations, key=lambda one: one.at)
    return {station.id: at for at, station in enumerate(ordered, 1)}
