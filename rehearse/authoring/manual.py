"""A chapter of a manual as it was read: sections with numbered items, each with its place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

NoteKind = Literal["note", "danger", "text"]
Passed = Literal["table", "code", "picture", "text"]


@dataclass(frozen=True)
class Note:
    """A remark in the manual. danger: it opens with a word such as "Warning".

    label: the word it opens with, "" for plain text; text: the rest. line counts from 1.
    """

    kind: NoteKind
    label: str
    text: str
    line: int


@dataclass(frozen=True)
class Item:
    """One entry of a list.

    number: as the manual prints it ("3", "a", "4.2.1"); "" for a bullet.
    depth: 0 for an entry of the outermost list.
    notes: remarks that stand inside the entry.
    introduces: entries inside it follow, and its own text ends in a colon.
    """

    number: str
    text: str
    line: int
    depth: int = 0
    notes: tuple[Note, ...] = ()
    introduces: bool = False


@dataclass(frozen=True)
class Section:
    """A heading with what stands under it, until the next heading.

    number: its paragraph number, "" when it has none.
    above: the titles of the headings it stands under, outermost first.
    notes: remarks and plain text outside the list.
    lists: how many separate lists it holds.
    """

    number: str
    title: str
    line: int
    above: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    notes: tuple[Note, ...] = ()
    lists: int = 1


@dataclass(frozen=True)
class PassedOver:
    """Something that can be no step: a table, a picture, a block of code."""

    what: Passed
    line: int


@dataclass(frozen=True)
class Manual:
    """A whole file. sections: those without items too."""

    sections: tuple[Section, ...]
    passed_over: tuple[PassedOver, ...] = field(default=())
