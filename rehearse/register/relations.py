"""What must hold between the entries of a register: ids that exist, once, and add up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.ids import Named, known, once
from rehearse.register.entries import Found

_LISTS = ("zones", "doors", "positions", "kinds", "stations", "signals", "facts")


def check(top: Found, faults: Faults) -> None:
    """Tell every entry that contradicts another."""
    for name in _LISTS:
        once([_named(entry, "id", entry.one("id")) for entry in top.entries(name)], faults)
    ids = {name: tuple(entry.one("id") for entry in top.entries(name)) for name in _LISTS}
    seats = tuple(position.inner("seat") for position in top.entries("positions"))
    for entry in (*top.entries("doors"), *top.entries("stations"), *seats):
        known(_named(entry, "zone", entry.one("zone")), ids["zones"], "zone", faults)
    for position in top.entries("positions"):
        _position(position, top, ids["doors"], faults)
    for station in top.entries("stations"):
        for kind, _ in station.pairs("items"):
            place = _named(station, "items", kind.value, kind.mark)
            known(place, ids["kinds"], "kind of equipment", faults)
    _names(top.entries("kinds"), faults)
    _sought(top, faults)
    _places(top, faults)
    _taken(top, faults)


def _named(entry: Found, key: str, value: str, mark: Mark | None = None) -> Named:
    """An id that an entry names under a key; mark: where, when not at the key's value."""
    return Named(value, mark or entry.mark_of(key), f"{entry.field}.{key}")


def _position(position: Found, top: Found, doors: Iterable[str], faults: Faults) -> None:
    for placed in position.values.get("opens", ()):
        known(_named(position, "opens", placed.value, placed.mark), doors, "door", faults)
    known(_named(position, "leaves", position.one("leaves")), doors, "door", faults)
    stations = {station.one("id"): station for station in top.entries("stations")}
    for kind, station in position.pairs("takes"):
        named = _named(position, "takes", station.value, station.mark)
        if not known(named, stations, "station", faults):
            continue
        held = {item.value for item, _ in stations[station.value].pairs("items")}
        if kind.value not in held:
            fault = f"{station.value} holds no {shown(kind.value)}"
            mend = f"write one of {', '.join(sorted(held))}" if held else "put it into the station"
            faults.add(kind.mark, f"{position.field}.takes", fault, mend)


def _names(kinds: Iterable[Found], faults: Faults) -> None:
    """Two kinds with one name could not be told apart by ear."""
    seen: dict[str, str] = {}
    for kind in kinds:
        spoken = {kind.one("name"), kind.one("plural"), *kind.several("also")} - {""}
        for name in sorted(name.lower() for name in spoken):
            other = seen.setdefault(name, kind.one("id"))
            if other != kind.one("id"):
                fault = f"{shown(name)} is also a name of {other}"
                faults.add(kind.mark, kind.field, fault, "give each kind names of its own")


def _sought(top: Found, faults: Faults) -> None:
    """Every kind is somewhere."""
    held = {kind.value for s in top.entries("stations") for kind, _ in s.pairs("items")}
    for kind in top.entries("kinds"):
        if kind.one("id") and kind.one("id") not in held and not kind.one("everywhere"):
            fault = "no station holds any of it"
            mend = "put it into a station, say 'everywhere: ...', or take the kind out"
            faults.add(kind.mark, kind.field, fault, mend)


def _places(top: Found, faults: Faults) -> None:
    """What is on the plan lies within it and within its zone, on the side it says."""
    zones = {zone.one("id"): zone for zone in top.entries("zones")}
    half = top.inner("plan").one("width", 0.0) / 2
    for zone in zones.values():
        if zone.one("from", 0.0) >= zone.one("to", 0.0) and "to" in zone.values:
            fault = "the zone ends before it begins"
            faults.add(
                zone.mark_of("to"), f"{zone.field}.to", fault, "write 'to' larger than 'from'"
            )
    seats = tuple(position.inner("seat") for position in top.entries("positions"))
    for entry in (*top.entries("doors"), *top.entries("stations"), *seats):
        at, within = entry.one("at", None), zones.get(entry.one("zone"))
        if at is None or within is None:
            continue
        field, mark = f"{entry.field}.at", entry.mark_of("at")
        start, end = within.one("from", at[0]), within.one("to", at[0])
        if not start <= at[0] <= end:
            fault = f"{at[0]:g} m is not in the zone {within.one('id')}, {start:g} to {end:g} m"
            faults.add(mark, field, fault, "correct the place or the zone")
        if half and abs(at[1]) > half:
            fault = f"{at[1]:g} m is outside the cabin, which is {2 * half:g} m wide"
            faults.add(mark, field, fault, f"write at most {half:g} either way")
        if {"left": at[1] > 0, "right": at[1] < 0}.get(entry.one("side"), False):
            fault = f"{at[1]:g} m is not on the {entry.one('side')}"
            faults.add(mark, field, fault, "write minus for the left side, or correct the side")


def _taken(top: Found, faults: Faults) -> None:
    """No station gives more of a kind than it holds."""
    held = {
        (station.one("id"), kind.value): count.value
        for station in top.entries("stations")
        for kind, count in station.pairs("items")
    }
    taken: Counter[tuple[str, str]] = Counter()
    for position in top.entries("positions"):
        for kind, station in position.pairs("takes"):
            taken[station.value, kind.value] += 1
            there = held.get((station.value, kind.value))
            if there is not None and taken[station.value, kind.value] > there:
                fault = (
                    f"{station.value} holds only {there} of {kind.value}, taken by others already"
                )
                mend = "name another station or position"
                faults.add(station.mark, f"{position.field}.takes", fault, mend)
