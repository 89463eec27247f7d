"""References to the register: `{place of beacon}` becomes what the register says.

A reference is filled in when a procedure or drill file is read, so everything behind the reader
(judge, checksum, take) sees the full text. Braces that are no reference are written twice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from rehearse.book.beside import AIRCRAFT
from rehearse.book.draft import good_id
from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.nodes import Items, Keys, Node, Scalar
from rehearse.errors import BookError
from rehearse.register.answers import ANSWERS, Answer
from rehearse.register.model import Register
from rehearse.register.reader import read_register

_PIECE = re.compile(r"\{\{|\}\}|\{[^{}]*\}|[{}]")
_REFERENCE = re.compile(r"\{\s*([a-z]+)\s+of\s+([A-Za-z0-9-]+)(?:\s+in\s+([A-Za-z0-9-]+))?\s*\}")
FIELDS = frozenset({"say", "also", "never", "reason", "demands"})  # of a step
ME = "me"  # the position of whoever is drilled


@dataclass(frozen=True)
class Place:
    """Where references are looked up.

    fields: the keys whose texts may hold one. folder: where the register lies. me: the position
    that `ME` stands for; "" when it may not be named.
    """

    fields: frozenset[str]
    folder: Path
    me: str = ""


def filled(node: Node, text: str, faults: Faults, place: Place | None = None) -> Node:
    """The tree of a file with every reference in it filled in.

    text: the file's, to find where a reference stands. place: None for a procedure beside its
    register. The register is read only when there is a reference; what is wrong with one is told.
    """
    place = place or Place(FIELDS, faults.path.parent)
    return _Filler(text.splitlines(), faults, place).tree(node, "")


def used(text: str) -> bool:
    """Whether there is anything like a reference in the text of a procedure file."""
    return _REFERENCE.search(text) is not None


class _Filler:
    """Fills in the texts of one file."""

    def __init__(self, lines: list[str], faults: Faults, place: Place) -> None:
        self._lines = lines
        self._faults = faults
        self._place = place
        self._register: Register | None = None
        self._broken = False

    def tree(self, node: Node, field: str) -> Node:
        """The tree with the texts under the keys of the place filled in."""
        match node:
            case Items(items=items):
                named = [f"{field}[{good_id(item) or at}]" for at, item in enumerate(items, 1)]
                return replace(node, items=tuple(map(self.tree, items, named)))
            case Keys(entries=entries):
                return replace(
                    node,
                    entries=tuple(
                        (key, self._entry(key, value, f"{field}.{key.text}" if field else key.text))
                        for key, value in entries
                    ),
                )
        return node

    def _entry(self, key: Scalar, value: Node, field: str) -> Node:
        inside = key.text in self._place.fields
        return self._value(value, field) if inside else self.tree(value, field)

    def _value(self, node: Node, field: str) -> Node:
        match node:
            case Scalar():
                return self._text(node, field)
            case Items(items=items):
                numbered = enumerate(items, start=1)
                return replace(
                    node, items=tuple(self._value(item, f"{field}[{at}]") for at, item in numbered)
                )
            case Keys(entries=entries):
                return replace(
                    node,
                    entries=tuple(
                        (self._text(key, field), self._value(value, f"{field}.{key.text}"))
                        for key, value in entries
                    ),
                )
        return node

    def _text(self, scalar: Scalar, field: str) -> Scalar:
        if "{" not in scalar.text and "}" not in scalar.text:
            return scalar
        out, end, places = "", 0, _Places(self._lines, scalar.mark)
        for piece in _PIECE.finditer(scalar.text):
            out += scalar.text[end : piece.start()]
            mark = places.next(piece[0])
            if piece[0] in {"{{", "}}"}:
                out += piece[0][0]
            else:
                out += _suited(self._answer(piece[0], mark, field), begins=not out.strip())
            end = piece.end()
        return replace(scalar, text=out + scalar.text[end:])

    def _answer(self, piece: str, mark: Mark, field: str) -> str:
        """What the register says; the reference itself when it is told to be faulty."""
        found = _REFERENCE.fullmatch(piece)
        if found is None:
            mend = "write as {place of beacon}, and a brace that is no reference twice"
            self._faults.add(mark, field, f"{shown(piece)} is not a reference", mend)
            return piece
        what, zone = found[1], found[3] or ""
        name = self._place.me if found[2] == ME else found[2]
        if not name:
            mend = "name a position, or let 'positions' say whom a drill is for"
            self._faults.add(mark, field, f"nobody is '{ME}' here", mend)
            return piece
        answer = ANSWERS.get(what)
        if answer is None:
            close = nearest(what, ANSWERS)
            mend = f"write {close}" if close else f"write one of {', '.join(ANSWERS)}"
            self._faults.add(mark, field, f"the register has no {shown(what)} of anything", mend)
            return piece
        register = self._read(mark, field)
        if register is None:
            return piece
        return self._looked_up(answer, _Asked(register, piece, name, zone), mark, field)

    def _looked_up(self, answer: Answer, asked: _Asked, mark: Mark, field: str) -> str:
        register, name, zone = asked.register, asked.name, asked.zone
        if zone and zone not in {known.id for known in register.zones}:
            self._unknown("zone", zone, [known.id for known in register.zones], mark, field)
            return asked.piece
        if zone and not answer.in_zone:
            mend = f"take out 'in {zone}'"
            self._faults.add(mark, field, f"{shown(asked.piece)} cannot be asked of a zone", mend)
            return asked.piece
        if name not in answer.names(register):
            self._unknown(answer.what, name, answer.names(register), mark, field)
            return asked.piece
        text = answer.text(register, name, zone)
        if not text:
            fault = f"the register says nothing for {shown(asked.piece)}"
            self._faults.add(mark, field, fault, f"add it to {AIRCRAFT}, or write the text out")
        return text or asked.piece

    def _unknown(self, what: str, name: str, known: list[str], mark: Mark, field: str) -> None:
        close = nearest(name, known)
        mend = f"write {close}" if close else f"write one of {', '.join(known[:8])}"
        self._faults.add(mark, field, f"the register has no {what} {shown(name)}", mend)

    def _read(self, mark: Mark, field: str) -> Register | None:
        """The register beside the file, read once; why there is none is told once."""
        path = self._place.folder / AIRCRAFT
        if self._register is not None or self._broken:
            return self._register
        if not path.exists():
            mend = f"write {path}, or write the text out"
            self._faults.add(mark, field, "there is no register beside this file", mend)
            self._broken = True
            return None
        try:
            self._register = _read(path, path.resolve(), path.stat().st_mtime_ns)
        except BookError as error:
            self._broken = True
            first = error.problems[0]
            fault = f"the register has faults, the first in line {first.line}"
            self._faults.add(mark, field, fault, f"mend {path}: {first.fault}; {first.mend}")
        return self._register


@lru_cache(maxsize=8)
def _read(path: Path, _resolved: Path, _changed: int) -> Register:
    """A folder of files refers to one register, read once for all while it stays as it is."""
    return read_register(path)


@dataclass(frozen=True)
class _Asked:
    """One reference: as it is written, and its parts."""

    register: Register
    piece: str
    name: str
    zone: str


class _Places:
    """Where the pieces of one text stand, found one after another in the file's lines."""

    def __init__(self, lines: list[str], start: Mark) -> None:
        self._lines = lines
        self._start = start
        self._line, self._column = start.line, start.column

    def next(self, piece: str) -> Mark:
        """The place of the next piece; the start of the text when it is written otherwise."""
        for line in range(self._line, len(self._lines) + 1):
            begin = self._column - 1 if line == self._line else 0
            at = self._lines[line - 1].find(piece, begin)
            if at >= 0:
                self._line, self._column = line, at + 1 + len(piece)
                return Mark(line, at + 1)
        return self._start


def _suited(text: str, *, begins: bool) -> str:
    """A sentence of the register within another begins small; at its beginning, great."""
    if begins:
        return text[:1].upper() + text[1:]
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text
