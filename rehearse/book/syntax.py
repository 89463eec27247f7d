"""What a YAML error means for the person who wrote the file, and how to mend it."""

from __future__ import annotations

from dataclasses import dataclass

import yaml

from rehearse.book.faults import Faults, Mark


@dataclass(frozen=True)
class _Mend:
    """What to do about an error whose text, the parser's own, holds `part`.

    opening: the place to look at is where the unfinished thing began, not where the parser
        gave up.
    """

    part: str
    mend: str
    opening: bool = False


# The first that fits is told.
_MENDS = (
    _Mend("character '\\t' that cannot start", "use spaces instead of tabs"),
    _Mend("cannot start any token", "put the text in quotes"),
    _Mend(
        "mapping values are not allowed",
        'put a text that holds ": " in quotes, or indent this line as the lines it belongs with',
    ),
    _Mend("could not find expected ':'", "write 'key: value' here", opening=True),
    _Mend("unexpected end of stream", "close the quotes that are opened here", opening=True),
    _Mend("document separator", "close the quotes that are opened here", opening=True),
    _Mend("expected ',' or ']'", "close the list that is opened here with ]", opening=True),
    _Mend("expected ',' or '}'", "close the braces that are opened here with }", opening=True),
    _Mend(
        "but found '<scalar>'",
        "put the whole text in quotes, and close every quote that is opened above",
    ),
    _Mend("expected <block end>", "indent this line exactly as the lines that it belongs with"),
    _Mend("escape", "use single quotes, or write \\\\ for a backslash"),
    _Mend("expected alphabetic or numeric", "put a text that begins with *, & or ! in quotes"),
    _Mend("chomping or indentation", "put the text in quotes"),
    _Mend("expected a comment or a line break", "put the text in quotes"),
    _Mend("sequence entries are not allowed", "begin the list on a line of its own"),
)
_OTHERWISE = "check the indentation, quotes and colons of this line and the one above"


def tell(error: yaml.YAMLError | ValueError | OverflowError, reached: Mark, faults: Faults) -> None:
    """Note a parser's error as one fault, unless its line has one that led to it.

    reached: how far the parser came, for errors that name no place themselves.
    """
    if not isinstance(error, yaml.MarkedYAMLError):
        fault = "this is not valid YAML (an impossible escape or number)"
        faults.add(reached, "file", fault, "write plain characters instead of \\ escapes")
        return
    problem = error.problem or ""
    found = next((mend for mend in _MENDS if mend.part in problem), _Mend("", _OTHERWISE))
    place = (error.context_mark if found.opening else None) or error.problem_mark
    mark = reached if place is None else Mark(place.line + 1, place.column + 1)
    if mark.line not in {told.line for told in faults.problems}:
        faults.add(mark, "file", f"this is not valid YAML ({problem})", found.mend)
