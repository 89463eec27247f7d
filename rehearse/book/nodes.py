"""From a procedure file's text to a tree of entries that know their place, or faults."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol, TypeAlias, cast

import yaml

from rehearse.book import syntax
from rehearse.book.faults import START, Faults, Mark, shown
from rehearse.book.source import read_text

MAX_DEPTH = 8  # a procedure file needs five
MAX_EVENTS = 20_000  # entries, keys and brackets; a long procedure has a few hundred

Kind = Literal["text", "number", "truth", "date", "nothing"]

_KINDS: dict[str, Kind] = {
    "tag:yaml.org,2002:int": "number",
    "tag:yaml.org,2002:float": "number",
    "tag:yaml.org,2002:bool": "truth",
    "tag:yaml.org,2002:timestamp": "date",
    "tag:yaml.org,2002:null": "nothing",
}


@dataclass(frozen=True)
class Scalar:
    """One value as it is written; `kind` is what YAML 1.1 takes it for (quoted: always text)."""

    text: str
    kind: Kind
    mark: Mark


@dataclass(frozen=True)
class Items:
    """A list."""

    items: tuple[Node, ...]
    mark: Mark


@dataclass(frozen=True)
class Keys:
    """Keys with their values, in file order; a key may stand here twice."""

    entries: tuple[tuple[Scalar, Node], ...]
    mark: Mark


@dataclass(frozen=True)
class Refused:
    """Something that was told as a fault already and has no value."""

    mark: Mark


Node: TypeAlias = Scalar | Items | Keys | Refused


class _TooMuchError(Exception):
    """The file is nested too deep or has too many entries; the fault is told."""


class _Parser(Protocol):
    """The part of PyYAML's loader that is used here, which its published types leave out."""

    def get_event(self) -> yaml.Event: ...
    def check_event(self, kind: type[yaml.Event]) -> bool: ...
    def get_mark(self) -> yaml.Mark: ...
    def resolve(self, kind: type[yaml.Node], value: str, implicit: tuple[bool, bool]) -> str: ...
    def dispose(self) -> None: ...


def compose(text: str, faults: Faults) -> Node | None:
    """The tree of the only document in the text, or None when there is none.

    Nothing is constructed: references, tags and several documents are told as faults. The work
    is bounded, whatever the text is.
    """
    loader = cast("_Parser", yaml.SafeLoader(text))
    try:
        return _Composer(loader, faults).document()
    except _TooMuchError:
        return None
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        # The parser lets ValueError and OverflowError through on impossible \U escapes.
        here = loader.get_mark()
        syntax.tell(error, Mark(here.line + 1, here.column + 1), faults)
        return None
    finally:
        loader.dispose()


def read_tree(path: Path, faults: Faults) -> tuple[str, Node]:
    """The text of a file and the tree of the only document in it.

    Raises:
        BookError: there is none; the faults hold all that is wrong.
    """
    text = read_text(path, faults)
    node = None if text is None else compose(text, faults)
    if node is None or text is None:
        raise faults.error()
    return text, node


class _Composer:
    """Turns the parser's events into nodes; the parser itself does not recurse."""

    def __init__(self, loader: _Parser, faults: Faults) -> None:
        self._loader = loader
        self._faults = faults
        self._events = 0

    def document(self) -> Node | None:
        self._next()  # the stream starts
        if isinstance(self._next(), yaml.StreamEndEvent):
            mend = "begin it with 'procedure: ' and an id, then title, aircraft, ..., steps"
            self._faults.add(START, "file", "the file is empty", mend)
            return None
        node = self._node(1)
        self._next()  # the document ends
        following = self._next()
        if not isinstance(following, yaml.StreamEndEvent):
            mend = "keep one procedure a file: move what follows '---' to a file of its own"
            self._faults.add(_place(following), "file", "a second document begins here", mend)
        return node

    def _next(self) -> yaml.Event:
        self._events += 1
        event = self._loader.get_event()
        if self._events > MAX_EVENTS:
            mend = "keep one procedure a file"
            self._faults.add(_place(event), "file", "the file has too many entries", mend)
            raise _TooMuchError
        return event

    def _node(self, depth: int) -> Node:
        event = self._next()
        mark = _place(event)
        if depth > MAX_DEPTH:
            mend = "use only the levels of a procedure file: steps, their keys, their lists"
            self._faults.add(mark, "file", "the entries are nested too deep", mend)
            raise _TooMuchError
        if not isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent):
            self._refuse(mark, "the reference", f"*{getattr(event, 'anchor', '')}")
            return Refused(mark)
        if event.anchor is not None:
            self._refuse(mark, "the anchor", f"&{event.anchor}")
        node = self._content(event, mark, depth)
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            mend = "take the tag out, or put a text that begins with ! in quotes"
            self._faults.add(mark, "file", f"the tag {shown(tag)} is not allowed", mend)
            return Refused(mark)
        return node

    def _refuse(self, mark: Mark, what: str, name: str) -> None:
        mend = f"write the text out in full, or put a text that begins with {name[0]} in quotes"
        self._faults.add(mark, "file", f"{what} {shown(name)} is not allowed", mend)

    def _content(
        self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, mark: Mark, depth: int
    ) -> Node:
        if isinstance(event, yaml.SequenceStartEvent):
            return self._items(mark, depth)
        if isinstance(event, yaml.CollectionStartEvent):
            return self._keys(mark, depth)
        plain = event.implicit[0]
        tag = self._loader.resolve(yaml.ScalarNode, event.value, (plain, not plain))
        return Scalar(event.value, _KINDS.get(tag, "text"), mark)

    def _items(self, mark: Mark, depth: int) -> Items:
        items: list[Node] = []
        while not self._loader.check_event(yaml.SequenceEndEvent):
            items.append(self._node(depth + 1))
        self._next()
        return Items(tuple(items), mark)

    def _keys(self, mark: Mark, depth: int) -> Keys:
        entries: list[tuple[Scalar, Node]] = []
        while not self._loader.check_event(yaml.MappingEndEvent):
            key = self._node(depth + 1)
            value = self._node(depth + 1)
            if isinstance(key, Scalar):
                entries.append((key, value))
            elif not isinstance(key, Refused):
                mend = "write a word before the colon; put a text with [ or { in quotes"
                self._faults.add(key.mark, "file", "a list or braces cannot be a key", mend)
        self._next()
        return Keys(tuple(entries), mark)


def _place(event: yaml.Event) -> Mark:
    mark = event.start_mark
    return START if mark is None else Mark(mark.line + 1, mark.column + 1)
