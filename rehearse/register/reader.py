"""One register file in, one `Register` out, or every fault of the file at once."""

from __future__ import annotations

from pathlib import Path

from rehearse.book.faults import Faults
from rehearse.book.model import Revision
from rehearse.book.nodes import read_tree
from rehearse.register.entries import Found, read_entry
from rehearse.register.keys import REGISTER
from rehearse.register.model import (
    Door,
    Fact,
    Item,
    Kind,
    Position,
    Register,
    Signal,
    Station,
    Taken,
    Zone,
)
from rehearse.register.relations import check


def read_register(path: Path) -> Register:
    """The register in the file.

    Raises:
        BookError: the file cannot be read or has faults; `problems` holds all of them.
    """
    faults = Faults(path)
    _, node = read_tree(path, faults)
    top = read_entry(node, "", REGISTER, faults)
    check(top, faults)
    if faults:
        raise faults.error()
    return _register(top, path)


def _register(top: Found, path: Path) -> Register:
    """The entries as values; only entries without faults are complete enough."""
    revision, plan = top.inner("revision"), top.inner("plan")
    return Register(
        aircraft=top.one("aircraft"),
        name=top.one("name"),
        language=top.one("language"),
        revision=Revision(
            revision.one("number"), revision.one("effective"), revision.one("source")
        ),
        length=plan.one("length"),
        width=plan.one("width"),
        zones=tuple(map(_zone, top.entries("zones"))),
        doors=tuple(map(_door, top.entries("doors"))),
        positions=tuple(map(_position, top.entries("positions"))),
        kinds=tuple(map(_kind, top.entries("kinds"))),
        stations=tuple(map(_station, top.entries("stations"))),
        signals=tuple(map(_signal, top.entries("signals"))),
        facts=tuple(Fact(f.one("id"), f.one("ask"), f.one("answer")) for f in top.entries("facts")),
        path=path,
    )


def _zone(zone: Found) -> Zone:
    return Zone(
        zone.one("id"),
        zone.one("name"),
        zone.one("place"),
        zone.one("from"),
        zone.one("to"),
        zone.several("also"),
    )


def _door(door: Found) -> Door:
    return Door(
        door.one("id"),
        door.one("name"),
        door.one("zone"),
        door.one("side"),
        door.one("at"),
        door.one("exit"),
        door.one("slide"),
    )


def _position(position: Found) -> Position:
    seat = position.inner("seat")
    return Position(
        position.one("id"),
        position.one("name"),
        seat.one("zone"),
        seat.one("at"),
        position.several("opens"),
        position.one("area"),
        position.one("leaves"),
        tuple(Taken(kind.value, station.value) for kind, station in position.pairs("takes")),
    )


def _kind(kind: Found) -> Kind:
    return Kind(
        kind.one("id"),
        kind.one("name"),
        kind.one("plural"),
        kind.several("also"),
        kind.one("everywhere"),
        kind.one("use"),
        kind.one("check"),
        kind.one("fixed", instead=False),
    )


def _station(station: Found) -> Station:
    return Station(
        station.one("id"),
        station.one("name"),
        station.one("place"),
        station.one("zone"),
        station.one("side"),
        station.one("at"),
        tuple(Item(kind.value, count.value) for kind, count in station.pairs("items")),
    )


def _signal(signal: Found) -> Signal:
    return Signal(
        signal.one("id"),
        signal.one("name"),
        signal.one("sound"),
        signal.one("light"),
        signal.one("from"),
        signal.one("silence"),
        signal.one("means"),
    )
