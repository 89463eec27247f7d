"""Every key of a register file, with what it may hold and what it means."""

from __future__ import annotations

import re

from rehearse.book import fields
from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.nodes import Items, Node, Scalar
from rehearse.book.procedure_keys import REVISION
from rehearse.book.shape import Choice, Entries, Entry, Key, One, Own, Several, Told

MAX_ENTRIES = 300  # of one list; a large cabin has a hundred stations
MAX_METRES = 150.0
_METRES = re.compile(r"[+-]?[0-9]{1,3}(\.[0-9]{1,3})?")


def _metres(node: Node, field: str, faults: Faults) -> Placed[float] | None:
    """A distance in metres, at most 150 either way."""
    mend = "write metres, as 26.2"
    if isinstance(node, Scalar) and node.kind == "number" and _METRES.fullmatch(node.text):
        value = float(node.text)
        if abs(value) <= MAX_METRES:
            return Placed(value, node.mark)
        fault = f"{value:g} is not between -{MAX_METRES:g} and {MAX_METRES:g} metres"
        faults.add(node.mark, field, fault, mend)
    elif isinstance(node, Scalar):
        faults.add(node.mark, field, f"{shown(node.text)} is not a distance", mend)
    else:
        faults.add(node.mark, field, "one number belongs here", mend)
    return None


def _place(node: Node, field: str, faults: Faults) -> Placed[tuple[float, float]] | None:
    """A place on the plan: metres from the nose, and from the centreline to the right."""
    mend = "write metres from the nose and from the centreline, as [26.2, -2]"
    if not isinstance(node, Items) or len(node.items) != 2:
        faults.add(node.mark, field, "this is not a place on the plan", mend)
        return None
    x, y = (_metres(item, f"{field}[{n}]", faults) for n, item in enumerate(node.items, 1))
    return None if x is None or y is None else Placed((x.value, y.value), node.mark)


def _count(node: Node, field: str, faults: Faults) -> Placed[int] | None:
    """How many: 1 to 99."""
    placed = fields.whole_number(node, field, faults)
    if placed is None or 1 <= placed.value <= 99:
        return placed
    faults.add(
        placed.mark, field, f"{placed.value} is not from 1 to 99", "write how many there are"
    )
    return None


_DISTANCE = {"type": "number", "minimum": -MAX_METRES, "maximum": MAX_METRES}

metres = Told(_metres, _DISTANCE)
place = Told(_place, {"type": "array", "items": _DISTANCE, "minItems": 2, "maxItems": 2})
count = Told(_count, {"type": "integer", "minimum": 1, "maximum": 99})

SIDE = Choice(("left", "right", "centre"))
_ID = One("id", fields.identifier, "Its own id.", required=True)
_NAME = One("name", fields.title, "What it is called aloud.", required=True)
_ALSO = Several("also", fields.title, "[cockpit]", "Other names that are said for it.")
_ZONE = One("zone", fields.identifier, "The id of its zone.", required=True)
_SIDE = One("side", SIDE, "The side of the cabin.", required=True)
_AT = One("at", place, "Metres from the nose, and from the centreline to the right.", required=True)

PLAN = (
    One("length", metres, "Metres from the nose to the end of the plan.", required=True),
    One("width", metres, "Metres across the cabin.", required=True),
)
ZONE = (
    _ID,
    _NAME,
    One("place", fields.title, "Where that is, as 'in the forward cabin'.", required=True),
    One("from", metres, "Where it begins, metres from the nose.", required=True),
    One("to", metres, "Where it ends, metres from the nose.", required=True),
    _ALSO,
)
DOOR = (
    _ID,
    _NAME,
    _ZONE,
    _SIDE,
    _AT,
    One("exit", Choice(("door", "hatch")), "A door or a hatch.", required=True),
    One("slide", Choice(("slide-raft", "slide", "none")), "What comes out of it.", required=True),
)
SEAT = (_ZONE, _AT)
POSITION = (
    One("id", fields.position, "The crew position, as C4.", required=True),
    _NAME,
    Entry("seat", SEAT, "Its jump seat.", required=True),
    Several("opens", fields.identifier, "[2L]", "The doors it opens; [] for none.", required=True),
    One("area", fields.sentence, "What it checks before it leaves.", required=True),
    One("leaves", fields.identifier, "The door it leaves by.", required=True),
    Own("takes", fields.identifier, listed=False, about="Each kind it takes, and its station."),
)
KIND = (
    _ID,
    _NAME,
    One("plural", fields.title, "What several of them are called.", required=True),
    _ALSO,
    One("everywhere", fields.title, "Where it is, when it belongs to no station."),
    One("use", fields.sentence, "What it is for."),
    One("check", fields.sentence, "What is checked before flight."),
    One("fixed", fields.truth, "Whether it is part of the aircraft and not carried."),
)
STATION = (
    _ID,
    _NAME,
    One("place", fields.sentence, "Where it is, as 'in the forward galley'.", required=True),
    _ZONE,
    _SIDE,
    _AT,
    Own("items", count, listed=False, about="Each kind it holds, and how many.", required=True),
)
SIGNAL = (
    _ID,
    _NAME,
    One("sound", fields.sentence, "What is heard.", required=True),
    One("light", fields.sentence, "What is seen."),
    One("from", fields.sentence, "Where it is given."),
    One("silence", fields.sentence, "How it is silenced."),
    One("means", fields.sentence, "What it asks for."),
)
FACT = (
    One("id", fields.identifier, "The topic, the same for every aircraft.", required=True),
    One("ask", fields.sentence, "The question.", required=True),
    One("answer", fields.sentence, "The answer, one or two facts.", required=True),
)


def _list(name: str, keys: tuple[Key, ...], about: str, *, needed: bool = True) -> Entries:
    return Entries(name, keys, about, required=needed, least=int(needed), most=MAX_ENTRIES)


REGISTER = (
    One("aircraft", fields.identifier, "The aircraft's id.", required=True),
    _NAME,
    One("language", fields.language, "The language that is spoken, as en.", required=True),
    Entry("revision", REVISION, "Which issue of the operator's data this is.", required=True),
    Entry("plan", PLAN, "How large the plan is.", required=True),
    _list("zones", ZONE, "The parts of the cabin."),
    _list("doors", DOOR, "Doors and hatches."),
    _list("positions", POSITION, "Crew positions."),
    _list("kinds", KIND, "Kinds of equipment."),
    _list("stations", STATION, "Places where equipment is stowed."),
    _list("signals", SIGNAL, "Signals and calls.", needed=False),
    _list("facts", FACT, "More that is asked.", needed=False),
)
