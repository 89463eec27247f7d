"""What can be asked of a register in one phrase: the place, number, name ... of something."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from rehearse.register.model import Door, Named, Register
from rehearse.register.phrasing import Phrasing, phrasing


@dataclass(frozen=True)
class Answer:
    """One thing that can be asked.

    what: of what, for a fault. names: the ids it can be asked of. text: the answer for an id and
    a zone ("" for the whole aircraft); "" when the register says nothing. in_zone: whether a
    zone may be given.
    """

    what: str
    names: Callable[[Register], list[str]]
    text: Callable[[Register, str, str], str]
    in_zone: bool = False


def _kinds(register: Register) -> list[str]:
    return [kind.id for kind in register.kinds]


def _stations(register: Register) -> list[str]:
    return [station.id for station in register.stations]


def _positions(register: Register) -> list[str]:
    return [position.id for position in register.positions]


def _signals(register: Register) -> list[str]:
    return [signal.id for signal in register.signals]


def _facts(register: Register) -> list[str]:
    return [fact.id for fact in register.facts]


def _placed(register: Register) -> list[str]:
    return _kinds(register) + _stations(register)


def _called(register: Register) -> list[str]:
    return list(_names(register))


def _names(register: Register) -> Mapping[str, str]:
    """Everything that has a name, by id; where an id is used twice, equipment comes first."""
    named: tuple[Named, ...] = (
        *register.zones,
        *register.signals,
        *register.positions,
        *register.doors,
        *register.stations,
        *register.kinds,
    )
    return {entry.id: entry.name for entry in named}


def place(register: Register, name: str, zone: str = "") -> str:
    """Where a station is, or all of a kind; "" when none is in the zone."""
    if name in _kinds(register):
        kind = register.kind(name)
        places = [station.place for station in register.holding(name, zone)]
        return _words(register).listed(places) or ("" if zone else kind.everywhere)
    station = register.station(name)
    return station.place if zone in {"", station.zone} else ""


def taken(register: Register, position: str) -> str:
    """What a position takes along: "the locator beacon and the first-aid kit"."""
    words = _words(register)
    kinds = [register.kind(item.kind) for item in register.position(position).takes]
    return words.listed(words.text("the", name=kind.name) for kind in kinds)


def opened(register: Register, position: str) -> str:
    """The doors a position opens, by name."""
    opens = register.position(position).opens
    return _words(register).listed(register.door(door).name for door in opens)


def opposite(register: Register, position: str) -> str:
    """The door across the cabin from the only one a position opens, by name; "" for none."""
    own, other = _across(register, position)
    return other.name if own and other else ""


def paired(register: Register, position: str) -> str:
    """That door and its opposite, the left one first: "doors two left and two right"."""
    own, other = _across(register, position)
    if own is None or other is None:
        return ""
    words = _words(register)
    left, right = sorted((own, other), key=lambda door: door.at[1])
    lead = f"{words.text('door')} "
    return words.text(
        "pair", left=left.name.removeprefix(lead), right=right.name.removeprefix(lead)
    )


def _across(register: Register, position: str) -> tuple[Door | None, Door | None]:
    opens = register.position(position).opens
    if len(opens) != 1:
        return None, None
    own = register.door(opens[0])
    level = [door for door in register.doors if door.at[0] == own.at[0] and door.id != own.id]
    return own, next(iter(level), None)


def held(register: Register, station: str) -> str:
    """What a station holds: "one megaphone and two smoke hoods"."""
    return _words(register).items(register, register.station(station).items)


def _words(register: Register) -> Phrasing:
    return phrasing(register.language)


def _exit(register: Register, position: str) -> str:
    return register.door(register.position(position).leaves).name


def _signal(key: str) -> Answer:
    def text(register: Register, name: str, _zone: str) -> str:
        found = {signal.id: signal for signal in register.signals}[name]
        return str(getattr(found, key))

    return Answer("signal", _signals, text)


def _fact(register: Register, name: str, _zone: str) -> str:
    return next(fact.answer for fact in register.facts if fact.id == name)


ANSWERS: Mapping[str, Answer] = {
    "place": Answer("kind or station", _placed, place, in_zone=True),
    "count": Answer(
        "kind of equipment",
        _kinds,
        lambda register, name, zone: _words(register).number(register.count(name, zone)),
        in_zone=True,
    ),
    "name": Answer("entry", _called, lambda register, name, _: _names(register)[name]),
    "plural": Answer("kind of equipment", _kinds, lambda r, name, _: r.kind(name).plural),
    "check": Answer("kind of equipment", _kinds, lambda r, name, _: r.kind(name).check),
    "use": Answer("kind of equipment", _kinds, lambda r, name, _: r.kind(name).use),
    "items": Answer("station", _stations, lambda r, name, _: held(r, name)),
    "doors": Answer("position", _positions, lambda r, name, _: opened(r, name)),
    "opposite": Answer("position", _positions, lambda r, name, _: opposite(r, name)),
    "pair": Answer("position", _positions, lambda r, name, _: paired(r, name)),
    "exit": Answer("position", _positions, lambda r, name, _: _exit(r, name)),
    "area": Answer("position", _positions, lambda r, name, _: r.position(name).area),
    "takes": Answer("position", _positions, lambda r, name, _: taken(r, name)),
    "sound": _signal("sound"),
    "light": _signal("light"),
    "origin": _signal("origin"),
    "silence": _signal("silence"),
    "meaning": _signal("means"),
    "answer": Answer("fact", _facts, _fact),
}
