"""One programme file in, one `Programme` out, or every fault of the file at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar, cast

from rehearse.book import fields
from rehearse.book.draft import good_id
from rehearse.book.faults import START, Faults, Mark
from rehearse.book.fields import Check, Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Items, Node, Refused, Scalar, compose
from rehearse.book.source import read_text
from rehearse.programme import spans
from rehearse.programme.errors import programme_error
from rehearse.programme.model import Allowed, Element, Programme, Window
from rehearse.programme.zones import zone

MAX_ELEMENTS = 300

_REQUIRED = ("programme", "operator", "zone", "elements")
_TOP = (*_REQUIRED, "example")
_NEEDED = ("id", "title", "aircraft", "period", "method", "rule", "retention")
_ELEMENT = (*_NEEDED, "positions", "procedures", "window")
_METHODS = ("oral", "practical", "both")

T = TypeVar("T")


@dataclass(frozen=True)
class Located:
    """A programme with the places its elements' values were written at.

    places: by field, as faults name it (`elements[doors]`, `elements[doors].procedures[1]`).
    """

    programme: Programme
    places: Mapping[str, Mark]

    def place(self, field: str) -> Mark:
        """Where the field is; the file's start when it is not known."""
        return self.places.get(field, START)


def read(path: Path) -> Programme:
    """The programme in the file.

    Raises:
        ProgrammeError: the file cannot be read or has faults; `problems` holds all of them.
    """
    return locate(path).programme


def locate(path: Path) -> Located:
    """The programme in the file and where the values of its elements stand.

    Raises:
        ProgrammeError: as `read`.
    """
    faults = Faults(path)
    text = read_text(path, faults)
    node = None if text is None else compose(text, faults)
    if node is None:
        raise programme_error(faults.problems)
    places: dict[str, Mark] = {}
    programme = _programme(node, path, places, faults)
    if faults or programme is None:
        raise programme_error(faults.problems)
    return Located(programme, places)


def _programme(node: Node, path: Path, places: dict[str, Mark], faults: Faults) -> Programme | None:
    top = read_keys(node, "", _TOP, _REQUIRED, faults)
    programme = _value(top, "", "programme", fields.identifier, faults)
    operator = _value(top, "", "operator", fields.label, faults)
    named = _value(top, "", "zone", zone, faults)
    example = _value(top, "", "example", fields.truth, faults)
    elements = _elements(top.get("elements"), places, faults)
    if programme is None or operator is None or named is None or not elements:
        return None
    return Programme(programme, operator, named, bool(example), tuple(elements), path)


def _elements(node: Node | None, places: dict[str, Mark], faults: Faults) -> list[Element]:
    """The faultless elements; a missing key is told by whoever read the keys."""
    if node is None or isinstance(node, Refused):
        return []
    if not isinstance(node, Items) or not node.items:
        nothing = isinstance(node, Items) or (isinstance(node, Scalar) and node.kind == "nothing")
        fault = "there are no elements" if nothing else "the elements are not a list"
        mend = "list at least one element: '- id: ...' and below it 'title: ...'"
        faults.add(node.mark, "elements", fault, mend)
        return []
    if len(node.items) > MAX_ELEMENTS:
        fault = f"there are {len(node.items)} elements, more than {MAX_ELEMENTS}"
        faults.add(node.mark, "elements", fault, "split the programme into several")
        return []
    first: dict[str, Mark] = {}
    elements = [
        _element(item, number, first, places, faults)
        for number, item in enumerate(node.items, start=1)
    ]
    return [element for element in elements if element is not None]


def _element(
    node: Node, number: int, first: dict[str, Mark], places: dict[str, Mark], faults: Faults
) -> Element | None:
    field = f"elements[{good_id(node) or number}]"
    prefix = field + "."
    keys = read_keys(node, field, _ELEMENT, _NEEDED, faults)
    element_id = _own_id(keys, field, first, faults)
    title = _value(keys, prefix, "title", fields.label, faults)
    aircraft = _aircraft(keys, prefix, faults)
    positions = _listed(keys, prefix, "positions", fields.position, "[C4]", faults=faults)
    procedures = _listed(
        keys, prefix, "procedures", fields.identifier, "[arm-door-2l]", faults=faults
    )
    period = _value(keys, prefix, "period", spans.period, faults)
    window = _window(keys, prefix, period, faults)
    method = _value(keys, prefix, "method", _method, faults)
    rule = _value(keys, prefix, "rule", fields.label, faults)
    retention = _value(keys, prefix, "retention", spans.retention, faults)
    places[field] = node.mark
    places.update(
        (f"{prefix}procedures[{place}]", placed.mark)
        for place, placed in enumerate(procedures, start=1)
    )
    if (
        element_id is None
        or title is None
        or period is None
        or method is None
        or rule is None
        or retention is None
    ):
        return None
    return Element(
        id=element_id,
        title=title,
        aircraft=aircraft,
        positions=tuple(placed.value for placed in positions),
        procedures=tuple(placed.value for placed in procedures),
        period=period,
        window=window,
        method=cast("Allowed", method),
        rule=rule,
        retention=retention,
    )


def _own_id(
    keys: Mapping[str, Node], field: str, first: dict[str, Mark], faults: Faults
) -> str | None:
    """The element's id; one that another element has is told. Ids differ in more than case."""
    if "id" not in keys:
        return None
    placed = fields.identifier(keys["id"], field + ".id", faults)
    if placed is None:
        return None
    taken = first.setdefault(placed.value.lower(), placed.mark)
    if taken is not placed.mark:
        fault = f"the id '{placed.value}' is taken by the element in line {taken.line}"
        faults.add(placed.mark, field + ".id", fault, "give this element an id of its own")
    return placed.value


def _aircraft(keys: Mapping[str, Node], prefix: str, faults: Faults) -> tuple[str, ...]:
    """Ids of aircraft; () for the word `any`."""
    node = keys.get("aircraft")
    if isinstance(node, Scalar) and node.text == "any":
        return ()
    listed = _listed(
        keys, prefix, "aircraft", fields.identifier, "[tarn-240], or any", faults=faults
    )
    for number, placed in enumerate(listed, start=1):
        if placed.value == "any":
            fault = "'any' stands among ids of aircraft"
            mend = "write 'aircraft: any' for every aircraft, without brackets"
            faults.add(placed.mark, f"{prefix}aircraft[{number}]", fault, mend)
    return tuple(placed.value for placed in listed)


def _window(keys: Mapping[str, Node], prefix: str, period: int | None, faults: Faults) -> Window:
    """The window, which must be shorter than the period: else every check would renew."""
    if "window" not in keys:
        return Window()
    placed = spans.window(keys["window"], prefix + "window", faults)
    if placed is None:
        return Window()
    if period is not None and not spans.shorter(placed.value, period):
        fault = f"it is not shorter than the period of {period} months"
        faults.add(placed.mark, prefix + "window", fault, "shorten it, or write none")
    return placed.value


def _method(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    return fields.choice(node, field, _METHODS, faults)


def _value(
    keys: Mapping[str, Node], prefix: str, key: str, check: Check[T], faults: Faults
) -> T | None:
    """The checked value of a key; None when it is faulty or not there."""
    placed = check(keys[key], prefix + key, faults) if key in keys else None
    return None if placed is None else placed.value


def _listed(
    keys: Mapping[str, Node],
    prefix: str,
    key: str,
    check: Check[str],
    example: str,
    *,
    faults: Faults,
) -> Sequence[Placed[str]]:
    """The good entries of a list that must not be empty or name anything twice."""
    if key not in keys:
        return ()
    node = keys[key]
    if isinstance(node, Items) and not node.items:
        faults.add(node.mark, prefix + key, "the list is empty", f"write {example}")
    listed = fields.several(node, prefix + key, check, example, faults)
    seen: set[str] = set()
    for number, placed in enumerate(listed, start=1):
        if placed.value in seen:
            fault = f"{placed.value} is listed a second time"
            faults.add(placed.mark, f"{prefix}{key}[{number}]", fault, "take it out")
        seen.add(placed.value)
    return listed
