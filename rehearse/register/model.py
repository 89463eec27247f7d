"""What a register is: an aircraft's zones, doors, positions, equipment and signals, as values.

Places are metres: x along the cabin from the nose, y from the centreline, positive to the right.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, Protocol, TypeVar

from rehearse.book.model import Revision

Place = tuple[float, float]
Side = Literal["left", "right", "centre"]


@dataclass(frozen=True)
class Zone:
    """A part of the cabin. place: where, as "in the forward cabin". start, end: metres of x."""

    id: str
    name: str
    place: str
    start: float
    end: float
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Door:
    """An exit. kind: door or hatch. slide: what comes out of it: slide-raft, slide or none."""

    id: str
    name: str
    zone: str
    side: Side
    at: Place
    kind: str
    slide: str


@dataclass(frozen=True)
class Taken:
    """One thing that a position takes along: its kind and the station it is taken from."""

    kind: str
    station: str


@dataclass(frozen=True)
class Position:
    """A crew position.

    zone, at: its jump seat. opens: ids of doors. area: what it checks before it leaves.
    leaves: id of the door it leaves by. takes: what it takes along then.
    """

    id: str
    name: str
    zone: str
    at: Place
    opens: tuple[str, ...]
    area: str
    leaves: str
    takes: tuple[Taken, ...] = ()


@dataclass(frozen=True)
class Kind:
    """A kind of equipment.

    also: other names. everywhere: where it is when it belongs to no station. use: what it is for.
    check: what is checked before flight. fixed: it is part of the aircraft and not carried.
    """

    id: str
    name: str
    plural: str
    also: tuple[str, ...] = ()
    everywhere: str = ""
    use: str = ""
    check: str = ""
    fixed: bool = False

    def named(self, count: int) -> str:
        """Its name for so many."""
        return self.name if count == 1 else self.plural


@dataclass(frozen=True)
class Item:
    """How many of a kind a station holds."""

    kind: str
    count: int


@dataclass(frozen=True)
class Station:
    """A place where equipment is stowed. name: as it is called; place: where it is, in words."""

    id: str
    name: str
    place: str
    zone: str
    side: Side
    at: Place
    items: tuple[Item, ...]

    def count(self, kind: str) -> int:
        """How many of the kind are here."""
        return sum(item.count for item in self.items if item.kind == kind)


@dataclass(frozen=True)
class Signal:
    """A signal or call.

    sound: what is heard. light: what is seen. origin: where it is given. silence: how it is
    silenced. means: what it asks for.
    """

    id: str
    name: str
    sound: str
    light: str = ""
    origin: str = ""
    silence: str = ""
    means: str = ""


@dataclass(frozen=True)
class Fact:
    """One more fact: what is asked, and the answer as the manual has it.

    The id is the topic: two aircraft answer the same one, perhaps differently.
    """

    id: str
    ask: str
    answer: str


class Named(Protocol):
    """An entry with an id and what it is called aloud."""

    @property
    def id(self) -> str:
        """Its id."""
        ...

    @property
    def name(self) -> str:
        """What it is called aloud."""
        ...


N = TypeVar("N", bound=Named)


@dataclass(frozen=True)
class Register:
    """All of one aircraft, as one file holds it.

    length, width: of the plan, metres. path: where it was read from; not part of what it is.
    """

    aircraft: str
    name: str
    language: str
    revision: Revision
    length: float
    width: float
    zones: tuple[Zone, ...]
    doors: tuple[Door, ...]
    positions: tuple[Position, ...]
    kinds: tuple[Kind, ...]
    stations: tuple[Station, ...]
    signals: tuple[Signal, ...] = ()
    facts: tuple[Fact, ...] = ()
    path: Path | None = field(default=None, compare=False)

    def zone(self, zone_id: str) -> Zone:
        """Raises KeyError when there is none."""
        return _one(self.zones, zone_id)

    def door(self, door_id: str) -> Door:
        """Raises KeyError when there is none."""
        return _one(self.doors, door_id)

    def position(self, position_id: str) -> Position:
        """Raises KeyError when there is none."""
        return _one(self.positions, position_id)

    def kind(self, kind_id: str) -> Kind:
        """Raises KeyError when there is none."""
        return _one(self.kinds, kind_id)

    def station(self, station_id: str) -> Station:
        """Raises KeyError when there is none."""
        return _one(self.stations, station_id)

    def holding(self, kind: str, zone: str = "") -> tuple[Station, ...]:
        """The stations that hold the kind, of one zone when it is given."""
        inside = (s for s in self.stations if zone in {"", s.zone})
        return tuple(station for station in inside if station.count(kind))

    def count(self, kind: str, zone: str = "") -> int:
        """How many of the kind there are, in one zone when it is given."""
        return sum(station.count(kind) for station in self.holding(kind, zone))


def _one(values: Iterable[N], wanted: str) -> N:
    for value in values:
        if value.id == wanted:
            return value
    raise KeyError(wanted)
