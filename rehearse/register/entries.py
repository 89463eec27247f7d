"""From the tree of a register file to checked values, key by key as `keys.py` lists them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rehearse.book import fields
from rehearse.book.faults import Faults, Mark, shown
from rehearse.book.fields import Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar
from rehearse.book.shape import Entries, Entry, Key, One, Own, Several, names, required


@dataclass(frozen=True)
class Found:
    """One entry as far as it could be read.

    field: how faults name it. values: by key: a `Placed`, a tuple of them, a `Found`, a tuple
    of those, or pairs of `Placed`; a faulty or absent one is missing.
    """

    field: str
    mark: Mark
    values: Mapping[str, Any]

    def one(self, name: str, instead: Any = "") -> Any:  # noqa: ANN401 - as the key's check gives
        """The value of a key that holds one; `instead` when it is missing."""
        placed = self.values.get(name)
        return placed.value if isinstance(placed, Placed) else instead

    def several(self, name: str) -> tuple[Any, ...]:
        """The values of a key with a list."""
        return tuple(placed.value for placed in self.values.get(name, ()))

    def entries(self, name: str) -> tuple[Found, ...]:
        """The entries of a key with a list of them."""
        return tuple(self.values.get(name, ()))

    def inner(self, name: str) -> Found:
        """The entry inside a key; an empty one when it is missing."""
        found = self.values.get(name)
        return found if isinstance(found, Found) else Found(f"{self.field}.{name}", self.mark, {})

    def pairs(self, name: str) -> tuple[tuple[Placed[str], Placed[Any]], ...]:
        """What stands under a key with keys of the author's own."""
        return tuple(self.values.get(name, ()))

    def mark_of(self, name: str) -> Mark:
        """Where the value of a key stands, or the entry."""
        placed = self.values.get(name)
        return placed.mark if isinstance(placed, Placed) else self.mark


def read_entry(node: Node, field: str, keys: Sequence[Key], faults: Faults) -> Found:
    """The entry at the node; every fault of its keys and values is told."""
    nodes = read_keys(node, field, names(keys), required(keys), faults)
    values: dict[str, Any] = {}
    for key in keys:
        if key.name in nodes:
            place = f"{field}.{key.name}" if field else key.name
            value = _value(key, nodes[key.name], place, faults)
            if value is not None:
                values[key.name] = value
    return Found(field, node.mark, values)


def _value(key: Key, node: Node, field: str, faults: Faults) -> Any:  # noqa: ANN401 - see `Found`
    match key:
        case One():
            return key.check(node, field, faults)
        case Several():
            return fields.several(node, field, key.check, key.example, faults)
        case Entry():
            return read_entry(node, field, key.keys, faults)
        case Entries():
            return _entries(key, node, field, faults)
        case Own():
            return _own(key, node, field, faults)
    raise TypeError(f"{key.name}: a register has no such kind of key")


def _entries(key: Entries, node: Node, field: str, faults: Faults) -> tuple[Found, ...]:
    if isinstance(node, Refused):
        return ()
    if not isinstance(node, Items) or (key.least and not node.items):
        faults.add(node.mark, field, "there is no list here", "list entries, each with '- id: ...'")
        return ()
    if len(node.items) > key.most:
        fault = f"the list has {len(node.items)} entries, more than {key.most}"
        faults.add(node.mark, field, fault, "keep those that matter")
        return ()
    return tuple(
        read_entry(item, f"{field}[{_id_of(item) or number}]", key.keys, faults)
        for number, item in enumerate(node.items, start=1)
    )


def _id_of(node: Node) -> str | None:
    """The id that an entry gives itself, when it can be shown; nothing is told."""
    if isinstance(node, Keys):
        for key, value in node.entries:
            if key.text == "id" and isinstance(value, Scalar) and fields.is_id(value.text):
                return value.text
    return None


def _own(
    key: Own[Any], node: Node, field: str, faults: Faults
) -> tuple[tuple[Placed[str], Placed[Any]], ...]:
    if isinstance(node, Refused):
        return ()
    if not isinstance(node, Keys):
        faults.add(node.mark, field, "there are no keys here", "write them as {torch: ...}")
        return ()
    found: dict[str, tuple[Placed[str], Placed[Any]]] = {}
    for entry, value in node.entries:
        place = f"{field}.{shown(entry.text).strip(chr(39))}"
        if entry.text in found:
            faults.add(
                entry.mark, place, "the key stands here a second time", "keep one of the two"
            )
            continue
        checked = key.check(value, place, faults)
        if checked is not None:
            found[entry.text] = (Placed(entry.text, entry.mark), checked)
    return tuple(found.values())
