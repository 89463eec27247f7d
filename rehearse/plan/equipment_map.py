"""The equipment map as a report: the cabin plan, every station, and every kind with its number."""

from __future__ import annotations

from datetime import datetime

from rehearse.paper.entries import is_long
from rehearse.paper.typeset import Draft, Tree
from rehearse.paper.values import Paper
from rehearse.plan import svg
from rehearse.plan.drawing import sheets
from rehearse.plan.marking import numbers
from rehearse.plan.sheet import ROOM, TITLE, heading
from rehearse.register.model import Kind, Register, Station


def equipment_map(register: Register, paper: Paper, made: datetime) -> Draft:
    """The map, ready to be set. made: when, timezone-aware."""
    wide, high = ROOM[paper]
    plans = sheets(register, wide, high - TITLE)
    numbered = numbers(register)
    stations = sorted(register.stations, key=lambda station: numbered[station.id])
    return Draft(
        layout="equipment_map",
        title="Equipment map",
        subject=register.name,
        heading=heading(register, made),
        texts={
            "heading": f"Equipment map, {register.name}",
            "plans": [{"told": drawing.told} for drawing in plans],
            "stations": [_station(register, one, numbered[one.id]) for one in stations],
            "kinds": [_kind(register, kind, numbered) for kind in register.kinds],
        },
        pictures={f"plan{at}": svg.bare(drawing) for at, drawing in enumerate(plans)},
    )


def _station(register: Register, station: Station, number: int) -> Tree:
    counts = [
        (str(item.count), register.kind(item.kind).named(item.count)) for item in station.items
    ]
    return {
        "number": str(number),
        "name": station.name,
        "zone": register.zone(station.zone).name,
        "place": station.place,
        "items": [list(one) for one in counts],
        "long": is_long(station.name, station.place, *(name for _, name in counts)),
    }


def _kind(register: Register, kind: Kind, numbered: dict[str, int]) -> Tree:
    """A kind that belongs to no station is told with the words for where it is."""
    stations = register.holding(kind.id)
    at = ", ".join(
        f"{number} ({count})" if count > 1 else f"{number}"
        for number, count in sorted((numbered[one.id], one.count(kind.id)) for one in stations)
    )
    return {
        "name": kind.plural,
        "count": str(register.count(kind.id)) if stations else "",
        "at": "; ".join(filter(None, (at, kind.everywhere))),
        "long": is_long(at, kind.everywhere),
    }
