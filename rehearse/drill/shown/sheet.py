"""A picture as wide as a phone that is filled with text and marks from the top."""

from __future__ import annotations

from dataclasses import dataclass, field

from rehearse.drill.values import DrillResult, Kind
from rehearse.paper.lettering import Words, fitted
from rehearse.paper.marks import MARKS
from rehearse.safety import NOTICE

WIDTH = 360  # drawing units; about a phone's width in pixels
MARGIN = 12
RIGHT = WIDTH - MARGIN

SHAPES = MARKS | {
    "silent": (
        '<circle fill="none" stroke="#000" stroke-width="2" cx="7" cy="7" r="5"/>'
        '<path fill="none" stroke="#000" stroke-width="2" d="M3.6 10.4 10.4 3.6"/>'
    ),
}
OF_KIND = {
    Kind.ANSWER: "tick",
    Kind.FLAWED: "cross",
    Kind.STALE: "silent",
    Kind.FORBIDDEN: "warning",
    Kind.EARLIER: "turned",
    Kind.OTHER: "",
}
SIZES = {  # of the letters of each kind of text
    "title": 18.0,
    "section": 14.0,
    "stage": 13.0,
    "body": 13.0,
    "shout": 12.0,
    "cue": 12.0,
    "quiet": 11.5,
    "fault": 11.5,
    "notice": 11.0,
}
_HEAVY = frozenset({"title", "section", "stage", "cue", "fault"})
LEAD = 1.22  # from one line to the next, as a share of the size


@dataclass(frozen=True)
class Mark:
    """A small drawing that stands beside a text; its left upper corner."""

    x: float
    y: float
    name: str


@dataclass
class Sheet:
    """A picture being filled; `y` is where the next thing goes."""

    y: float = MARGIN
    words: list[Words] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)

    def write(self, text: str, kind: str = "body", indent: float = 0.0, mark: str = "") -> None:
        """The text in lines that fit, one below the other; its mark stands before the first."""
        if mark:
            self.marks.append(Mark(MARGIN + indent, self.y + 3.0, mark))
            indent += 20.0
        for line in lines(text, kind, RIGHT - MARGIN - indent):
            self.y += SIZES[kind] * LEAD
            self.words.append(Words(MARGIN + indent, self.y, line, kind))

    def head(self, result: DrillResult, facts: tuple[tuple[str, str], ...]) -> None:
        """The drill's title and what is told of it."""
        self.write(result.title, "title")
        self.y += 3
        for name, value in facts:
            self.write(f"{name}: {value}", "quiet")

    def foot(self) -> None:
        """The safety notice, and the margin below it."""
        self.y += 8
        self.write(NOTICE, "notice")
        self.y += MARGIN


def lines(text: str, kind: str, width: float) -> list[str]:
    """The text in lines no wider than this, in the letters of its kind."""
    return fitted(text, SIZES[kind], width, heavy=kind in _HEAVY)
