"""What keys an entry of a file may have, as values: the reader and the schema both go by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeAlias, TypeVar, runtime_checkable

from rehearse.book import fields
from rehearse.book.faults import Faults
from rehearse.book.fields import Check, Placed
from rehearse.book.keys import read_keys
from rehearse.book.nodes import Node

T = TypeVar("T")


@dataclass(frozen=True)
class Choice:
    """A check: one of a few words."""

    words: tuple[str, ...]

    @property
    def schema(self) -> dict[str, Any]:
        """As `Described` asks."""
        return {"enum": list(self.words)}

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[str] | None:
        """As `rehearse.book.fields.Check` asks."""
        return fields.choice(node, field, self.words, faults)


@runtime_checkable
class Described(Protocol):
    """A check that says itself which values pass it."""

    @property
    def schema(self) -> dict[str, Any]:
        """The same as a fragment of a JSON Schema."""
        ...


@dataclass(frozen=True)
class Told(Generic[T]):
    """A check made of a function, and the values that pass it as a fragment of a JSON Schema."""

    check: Check[T]
    schema: dict[str, Any]

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[T] | None:
        """As `rehearse.book.fields.Check` asks."""
        return self.check(node, field, faults)


@dataclass(frozen=True)
class One(Generic[T]):
    """A key with one value. about: one sentence for an author, in every kind of key."""

    name: str
    check: Check[T]
    about: str
    required: bool = False


@dataclass(frozen=True)
class Several(Generic[T]):
    """A key with a list of values. example: how one is written. least: how few it may hold."""

    name: str
    check: Check[T]
    example: str
    about: str
    required: bool = False
    least: int = 0


@dataclass(frozen=True)
class Rows(Generic[T]):
    """A key with a list of lists of values, each holding at least so many."""

    name: str
    check: Check[T]
    about: str
    required: bool = False
    least: int = 0


@dataclass(frozen=True)
class Entry:
    """A key with keys inside."""

    name: str
    keys: tuple[Key, ...]
    about: str
    required: bool = False


@dataclass(frozen=True)
class Entries:
    """A key with a list of entries, all of the same keys."""

    name: str
    keys: tuple[Key, ...]
    about: str
    required: bool = False
    least: int = 0
    most: int = fields.MAX_LISTED


@dataclass(frozen=True)
class Own(Generic[T]):
    """A key with keys of the author's own inside, each with one value, or a list of them."""

    name: str
    check: Check[T]
    listed: bool
    about: str
    required: bool = False
    least: int = 0


Key: TypeAlias = One[Any] | Several[Any] | Rows[Any] | Entry | Entries | Own[Any]


def names(keys: Sequence[Key]) -> tuple[str, ...]:
    """What the keys are called, the required ones first."""
    return tuple(key.name for key in sorted(keys, key=lambda key: not key.required))


def required(keys: Sequence[Key]) -> tuple[str, ...]:
    """What must be there."""
    return tuple(key.name for key in keys if key.required)


def read_flat(
    node: Node, field: str, keys: Sequence[One[Any]], faults: Faults
) -> dict[str, Any] | None:
    """The values of an entry whose keys hold one value each; None when any was faulty or missing.

    A key that may be left out and was is not among them.
    """
    nodes = read_keys(node, field, names(keys), required(keys), faults)
    found = {
        key.name: key.check(nodes[key.name], f"{field}.{key.name}", faults)
        for key in keys
        if key.name in nodes
    }
    values = {name: placed.value for name, placed in found.items() if placed is not None}
    return values if {*required(keys), *found} == set(values) else None
