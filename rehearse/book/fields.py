"""What one value of a procedure file may be: sentence, id, position, number, date, choice, list."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from rehearse.book.faults import Faults, Mark, nearest, shown
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar
from rehearse.book.source import INVISIBLE
from rehearse.errors import RehearseError
from rehearse.language import load

MAX_WORDS = 60  # nobody recites more in one breath, and the judge reads no further
MAX_CHARACTERS = 500  # the same bound for writing without spaces
MAX_LISTED = 50  # entries in one list
MAX_ID = 60  # characters; ids become file names and table cells
MAX_SECONDS = 3600.0

ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]*")
POSITION = re.compile(r"[A-Z]{1,3}[0-9]{0,2}")
_WHOLE = re.compile(r"0|[1-9][0-9]{0,8}")
_DECIMAL = re.compile(r"[+-]?([0-9]{1,9}(\.[0-9]*)?|\.[0-9]+)")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NAMES = {"number": "a number", "truth": "true or false", "date": "a date"}

T = TypeVar("T")


@dataclass(frozen=True)
class Placed(Generic[T]):
    """A checked value and the place it was written at."""

    value: T
    mark: Mark


Check = Callable[[Node, str, Faults], Placed[T] | None]


def _scalar(node: Node, field: str, faults: Faults, mend: str) -> Scalar | None:
    """The node when it holds a single value; otherwise the fault is told, with this mend."""
    if isinstance(node, Scalar):
        if node.kind != "nothing":
            return node
        faults.add(node.mark, field, "it has no value", mend)
    elif isinstance(node, Items):
        faults.add(node.mark, field, "a list stands here where one value belongs", mend)
    elif isinstance(node, Keys):
        faults.add(node.mark, field, "keys stand here where one value belongs", mend)
    return None


def _text(node: Node, field: str, faults: Faults, mend: str) -> Placed[str] | None:
    """Text with its white space made single, nothing invisible in it, not empty, not endless."""
    scalar = _scalar(node, field, faults, mend)
    if scalar is None:
        return None
    if scalar.kind != "text":
        fault = f"{shown(scalar.text)} is read as {_NAMES[scalar.kind]}, not as text"
        faults.add(scalar.mark, field, fault, f'put it in quotes: "{scalar.text}"')
        return None
    invisible = INVISIBLE.search(scalar.text)
    if invisible is not None:
        fault = f"there is an invisible character in it (U+{ord(invisible[0]):04X})"
        faults.add(scalar.mark, field, fault, "take it out")
        return None
    text = " ".join(scalar.text.split())
    if not text:
        faults.add(scalar.mark, field, "it is empty", mend)
        return None
    if len(text) > MAX_CHARACTERS:
        fault = f"it has {len(text)} characters, more than {MAX_CHARACTERS}"
        faults.add(scalar.mark, field, fault, "shorten it")
        return None
    return Placed(text, scalar.mark)


def label(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """Any short text, as the source of a revision."""
    return _text(node, field, faults, "write a text")


def title(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """The name of a procedure, which the tool also says aloud."""
    return _words(node, field, faults, "write what the procedure is called")


def sentence(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """Words a person can say: with letters, at most 60 words."""
    return _words(node, field, faults, "write the words to be said")


def _words(node: Node, field: str, faults: Faults, mend: str) -> Placed[str] | None:
    placed = _text(node, field, faults, mend)
    if placed is None:
        return None
    words = len(placed.value.split())
    if not any(char.isalpha() for char in placed.value):
        fault = f"{shown(placed.value)} has no letters"
        faults.add(placed.mark, field, fault, "write words, numbers spelt out")
    elif words > MAX_WORDS:
        fault = f"it has {words} words, more than {MAX_WORDS}"
        faults.add(placed.mark, field, fault, "split it into steps of one or two facts each")
    else:
        return placed
    return None


def is_id(text: str) -> bool:
    """Whether the text is an id: ASCII letters, digits and hyphens, a letter or digit first."""
    return len(text) <= MAX_ID and ID.fullmatch(text) is not None


def is_position(text: str) -> bool:
    """Whether the text is a crew position: one to three capital letters, then up to two digits."""
    return POSITION.fullmatch(text) is not None


def identifier(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """An id, as it is written (so that `no` or `12` may be one without quotes)."""
    scalar = _scalar(node, field, faults, "write an id of letters, digits and hyphens")
    if scalar is None:
        return None
    if len(scalar.text) > MAX_ID:
        fault = f"the id has {len(scalar.text)} characters, more than {MAX_ID}"
        faults.add(scalar.mark, field, fault, "shorten it")
    elif not is_id(scalar.text):
        better = re.sub(r"[^A-Za-z0-9]+", "-", scalar.text).strip("-")
        mend = "use only letters a to z, digits and hyphens, a letter or digit first"
        mend += f", as '{better}'" if better else ""
        faults.add(scalar.mark, field, f"{shown(scalar.text)} is not an id", mend)
    else:
        return Placed(scalar.text, scalar.mark)
    return None


def language(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A language that can be heard and judged here."""
    placed = identifier(node, field, faults)
    if placed is None:
        return None
    try:
        load(placed.value)
    except RehearseError:
        lower = placed.value.lower()
        mend = "write a code that is built in, as en"
        faults.add(placed.mark, field, f"the language {shown(lower)} is not known", mend)
        return None
    return placed


def position(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A crew position: one to three capital letters, then at most two digits."""
    scalar = _scalar(node, field, faults, "write a crew position, as C4")
    if scalar is None:
        return None
    if POSITION.fullmatch(scalar.text):
        return Placed(scalar.text, scalar.mark)
    capital = scalar.text.strip().upper()
    example = capital if POSITION.fullmatch(capital) else "C4"
    mend = f"write capital letters and a number, as {example}"
    faults.add(scalar.mark, field, f"{shown(scalar.text)} is not a crew position", mend)
    return None


def whole_number(node: Node, field: str, faults: Faults) -> Placed[int] | None:
    """A whole number, zero or more, at most nine digits."""
    mend = "write a whole number, as 3"
    scalar = _scalar(node, field, faults, mend)
    if scalar is None:
        return None
    if scalar.kind == "number" and _WHOLE.fullmatch(scalar.text):
        return Placed(int(scalar.text), scalar.mark)
    faults.add(scalar.mark, field, f"{shown(scalar.text)} is not a whole number", mend)
    return None


def fraction(node: Node, field: str, faults: Faults) -> Placed[float] | None:
    """A share, 0 to 1."""
    mend = "write a number from 0 to 1, as 0.8"
    placed = decimal(node, field, faults, mend)
    if placed is None or 0.0 <= placed.value <= 1.0:
        return placed
    if 1.0 < placed.value <= 100.0:
        mend = f"write {placed.value / 100:g} for {placed.value:g} per cent"
    faults.add(placed.mark, field, f"{placed.value:g} is not between 0 and 1", mend)
    return None


def seconds(node: Node, field: str, faults: Faults) -> Placed[float] | None:
    """A time limit: more than 0 and at most 3600 seconds."""
    mend = "write a number of seconds, as 90"
    placed = decimal(node, field, faults, mend)
    if placed is None or 0.0 < placed.value <= MAX_SECONDS:
        return placed
    fault = f"{placed.value:g} is not between 0 and {MAX_SECONDS:g} seconds"
    faults.add(placed.mark, field, fault, mend)
    return None


def decimal(node: Node, field: str, faults: Faults, mend: str) -> Placed[float] | None:
    """A plain decimal number: not 1:30, not 0x10, not .nan, which YAML takes for numbers too."""
    scalar = _scalar(node, field, faults, mend)
    if scalar is None:
        return None
    if scalar.kind == "number" and _DECIMAL.fullmatch(scalar.text):
        value = float(scalar.text)
        if math.isfinite(value):
            return Placed(value, scalar.mark)
    quoted = scalar.kind == "text" and _DECIMAL.fullmatch(scalar.text.strip()) is not None
    fault = f"{shown(scalar.text)} is {'text' if quoted else 'not a number'}"
    mend = f"take the quotes away: {scalar.text.strip()}" if quoted else mend
    faults.add(scalar.mark, field, fault, mend)
    return None


def day(node: Node, field: str, faults: Faults) -> Placed[date] | None:
    """A date as year-month-day, with or without quotes."""
    mend = "write year-month-day, as 2026-10-01"
    scalar = _scalar(node, field, faults, mend)
    if scalar is None:
        return None
    try:
        if DAY.fullmatch(scalar.text):
            return Placed(date.fromisoformat(scalar.text), scalar.mark)
        fault = f"{shown(scalar.text)} is not a date"
    except ValueError:
        fault = f"there is no day {shown(scalar.text)}"
    faults.add(scalar.mark, field, fault, mend)
    return None


def truth(node: Node, field: str, faults: Faults) -> Placed[bool] | None:
    """`true` or `false`. `yes`, `on` and their like are text to newer YAML, so they are refused."""
    mend = "write true or false, without quotes"
    scalar = _scalar(node, field, faults, mend)
    if scalar is None:
        return None
    lower = scalar.text.lower()
    if scalar.kind == "truth" and lower in {"true", "false"}:
        return Placed(lower == "true", scalar.mark)
    meant = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false"}.get(lower)
    mend = f"write {meant}, without quotes" if meant else mend
    faults.add(scalar.mark, field, f"{shown(scalar.text)} is neither true nor false", mend)
    return None


def choice(node: Node, field: str, choices: tuple[str, ...], faults: Faults) -> Placed[str] | None:
    """One of a few words."""
    listed = " or ".join(choices)
    scalar = _scalar(node, field, faults, f"write {listed}")
    if scalar is None:
        return None
    if scalar.text in choices:
        return Placed(scalar.text, scalar.mark)
    close = nearest(scalar.text, choices)
    mend = f"write {close} ({listed})" if close else f"write {listed}"
    faults.add(scalar.mark, field, f"{shown(scalar.text)} is not known here", mend)
    return None


def several(
    node: Node, field: str, check: Check[T], example: str, faults: Faults, *, most: int = MAX_LISTED
) -> tuple[Placed[T], ...]:
    """The good entries of a list; faulty ones are told. `example` shows how one is written."""
    if isinstance(node, Items):
        if len(node.items) > most:
            fault = f"the list has {len(node.items)} entries, more than {most}"
            faults.add(node.mark, field, fault, "keep those that matter")
            return ()
        numbered = enumerate(node.items, start=1)
        checked = [check(item, f"{field}[{number}]", faults) for number, item in numbered]
        return tuple(placed for placed in checked if placed is not None)
    if isinstance(node, Scalar) and node.kind != "nothing":
        mend = f"put it in brackets: {example}"
        faults.add(node.mark, field, f"{shown(node.text)} is not a list", mend)
    elif not isinstance(node, Refused):
        what = "it has no value" if isinstance(node, Scalar) else "keys stand here, not a list"
        faults.add(node.mark, field, what, f"write a list, as {example}, or take the line out")
    return ()
