"""A cabin plan drawn from a register: as one drawing, as sheets of a given size, or without words.

The nose points up. Lengths are to one scale but for empty stretches, which are shortened; the width
is to a scale of its own. Nothing is drawn that the register does not hold.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rehearse.paper.letters import legible
from rehearse.plan import key
from rehearse.plan.frame import Frame, frame
from rehearse.plan.labelling import SIZES, Block, blocks, held, labels, room
from rehearse.plan.marking import doors, inside, numbers
from rehearse.plan.outline import breaks, walls
from rehearse.plan.scale import Room, Scale, scale
from rehearse.plan.shapes import Drawing, Line, Marker
from rehearse.plan.zoning import boundaries, names
from rehearse.register.model import Position, Register, Station

Numbered = Sequence[tuple[Station, int]]


@dataclass(frozen=True)
class Part:
    """What one sheet shows: stations with their numbers, metres from start to end."""

    stations: Numbered
    start: float
    end: float


def plan(register: Register, wide: float, high: float) -> Drawing:
    """The whole cabin on one drawing, millimetres wide; higher than `high` where labels ask it."""
    part = Part(_numbered(register), 0.0, register.length)
    shared = frame(register, wide)
    needed = room(_fitting(register, part.stations, shared, high - key.HEIGHT))
    return _drawn(register, part, shared, max(high, needed + key.HEIGHT))


def sheets(register: Register, wide: float, high: float) -> tuple[Drawing, ...]:
    """The cabin on as many drawings of this size, millimetres, as its labels need."""
    shared = frame(register, wide)
    parts = _parts(register, shared, high - key.HEIGHT)
    return tuple(_drawn(register, part, shared, high) for part in parts)


def locator(register: Register, position: Position, wide: float, high: float) -> Drawing:
    """Where a position sits, its doors and what it takes (a, b ...), without labels."""
    shared = frame(register, wide, labelled=False)
    part = Part((), 0.0, register.length)
    along = _scale(register, part, 0.5, high - 0.5)
    letters = takes(position)
    inner = inside(register, along, shared, letters, {position.id})
    told = f"{register.name}: where {position.name} sits, and where it takes its equipment from."
    markers = [*doors(register, along, shared), *inner]
    return _drawing(register, shared, along, high, markers=markers, told=told)


def takes(position: Position) -> dict[str, str]:
    """The stations a position takes something from, each with its letter."""
    stations = dict.fromkeys(taken.station for taken in position.takes)
    return {station: chr(ord("a") + at % 26) for at, station in enumerate(stations)}


def _numbered(register: Register) -> Numbered:
    numbered = numbers(register)
    return sorted(((s, numbered[s.id]) for s in register.stations), key=lambda one: one[1])


def _fitting(register: Register, stations: Numbered, shared: Frame, high: float) -> list[Block]:
    """The labels in the largest letters that fit, else in the smallest."""
    for size in SIZES:
        found = blocks(register, stations, shared, size)
        if room(found) <= high:
            break
    return found


def _parts(register: Register, shared: Frame, high: float) -> Iterator[Part]:
    """The stations from the nose on, as many on a sheet as fit in the smallest letters."""
    waiting, start = list(_numbered(register)), 0.0
    while waiting:
        fits = _fits(register, waiting, shared, high)
        many = bisect(range(1, len(waiting) + 1), False, key=lambda many: not fits(many))
        here, waiting = waiting[: max(1, many)], waiting[max(1, many) :]
        end = (here[-1][0].at[0] + waiting[0][0].at[0]) / 2 if waiting else register.length
        yield Part(here, start, end)
        start = end


def _fits(
    register: Register, waiting: Numbered, shared: Frame, high: float
) -> Callable[[int], bool]:
    """Whether the labels of the first so many fit beside one sheet."""
    return lambda many: room(blocks(register, waiting[:many], shared, SIZES[-1])) <= high


def _scale(register: Register, part: Part, top: float, bottom: float) -> Scale:
    places = [
        *(door.at[0] for door in register.doors),
        *(position.at[0] for position in register.positions),
        *(station.at[0] for station in register.stations),
    ]
    whole = Room(
        part.start,
        part.end,
        top,
        bottom,
        nose=part.start == 0.0,
        tail=part.end == register.length,
    )
    return scale([x for x in places if part.start <= x <= part.end], whole)


def _drawn(register: Register, part: Part, shared: Frame, high: float) -> Drawing:
    bottom = high - key.HEIGHT
    along = _scale(register, part, 1.0, bottom - 1.0)
    texts = {station.id: str(number) for station, number in part.stations}
    markers = [*doors(register, along, shared), *inside(register, along, shared, texts)]
    found = _fitting(register, part.stations, shared, bottom)
    beside = labels(found, markers, shared, 0.0, bottom)
    told = _told(register, part)
    bare = _drawing(register, shared, along, high, markers=markers, told=told)
    samples, words = key.key(markers, bool(bare.breaks), shared.width, bottom)
    return replace(bare, labels=tuple(beside), key=samples, words=(*bare.words, *words))


def _drawing(
    register: Register,
    shared: Frame,
    along: Scale,
    high: float,
    *,
    markers: Sequence[Marker],
    told: str,
) -> Drawing:
    lengths = tuple(
        Line(shared.width / 2, (one.top + one.bottom) / 2 + 0.8, _length(one.end - one.start), 2.2,
             "middle")
        for one in along.of("short")
    )  # fmt: skip
    return Drawing(
        width=shared.width,
        height=high,
        name=f"Cabin plan, {legible(register.name)}",
        told=told,
        walls=walls(along, shared.left, shared.right),
        breaks=breaks(along, shared.left, shared.right),
        zones=boundaries(register, along, shared),
        words=(*lengths, *names(register, along, shared, markers)) if shared.labelled else (),
        markers=tuple(markers),
    )


def _length(metres: float) -> str:
    return f"{metres:.0f} m" if metres >= 10 else f"{metres:.1f} m"


def _told(register: Register, part: Part) -> str:
    """The plan in words, for those who cannot see it."""
    shown: Mapping[str, str] = {
        "Doors": ", ".join(door.name for door in register.doors),
        "Crew seats": ", ".join(
            f"{p.name} {register.zone(p.zone).place}" for p in register.positions
        ),
        "Stations": "; ".join(
            f"{number}, {station.name}, {station.place}: {held(register, station)}"
            for station, number in part.stations
        ),
    }
    parts = " ".join(f"{what}: {text}." for what, text in shown.items())
    return legible(f"Cabin plan of the {register.name}, nose up. {parts}")
