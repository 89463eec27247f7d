"""The shapes a timeline picture is made of, in drawing units, and the scale between them and time.

A unit is about a pixel. All coordinates of a row count from its own left upper corner.
"""

from __future__ import annotations

from dataclasses import dataclass

TEXT = 13.0  # size of the words
SMALL = 12.0  # size of everything else


@dataclass(frozen=True)
class Sheet:
    """What a picture is drawn for.

    name: tells the pictures of one page apart.
    width: of a row. gutter: of that, what the names of the lanes take on the left.
    seconds: of a full row.
    """

    name: str
    width: float
    gutter: float
    seconds: float


WIDE = Sheet("wide", 880.0, 52.0, 9.5)
NARROW = Sheet("narrow", 344.0, 0.0, 4.5)


@dataclass(frozen=True)
class Band:
    """A stretch of time: an utterance, a ghost or a silence, with its name in `text`."""

    x: float
    width: float
    text: str = ""
    kind: str = ""


@dataclass(frozen=True)
class Bar:
    """A verdict or a mark: a bar under a label.

    kind: the verdict, "dangerous" or "mark". label: where its text begins.
    detail: the whole story, shown when it is pointed at.
    """

    x: float
    width: float
    label: float
    y: float
    text: str
    kind: str
    detail: str


@dataclass(frozen=True)
class Words:
    """A word, or the words of a ghost, with its base line at `y`; `at` is when it began."""

    x: float
    y: float
    at: float
    text: str
    kind: str


@dataclass(frozen=True)
class Bubble:
    """What the tool said, in lines inside a box."""

    x: float
    y: float
    width: float
    height: float
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Tick:
    """A second on the time axis; only some carry a text."""

    x: float
    text: str


@dataclass(frozen=True)
class Caption:
    """The name of a lane, in the gutter."""

    y: float
    text: str


@dataclass(frozen=True)
class Row:
    """One row of the picture, from `start` to `end` seconds.

    quiet: a long stretch without anything, drawn thin; `title` then says how long.
    wave: the outline of the sound as an SVG path, "" when there is none.
    top, bottom: of the wave. axis: where the time axis runs. left, right: its ends.
    told: the row in words, for those who cannot see it.
    """

    start: float
    end: float
    quiet: bool
    title: str
    told: str
    height: float
    left: float
    right: float
    top: float
    bottom: float
    axis: float
    wave: str
    bars: tuple[Bar, ...] = ()
    speeches: tuple[Band, ...] = ()
    ghosts: tuple[Band, ...] = ()
    silences: tuple[Band, ...] = ()
    words: tuple[Words, ...] = ()
    bubbles: tuple[Bubble, ...] = ()
    ticks: tuple[Tick, ...] = ()
    captions: tuple[Caption, ...] = ()

    @property
    def middle(self) -> float:
        """Where the wave's zero line runs."""
        return (self.top + self.bottom) / 2


@dataclass(frozen=True)
class Scale:
    """From seconds to units along one row."""

    start: float
    end: float
    left: float
    per_second: float

    @property
    def right(self) -> float:
        """Where the row ends."""
        return self.x(self.end)

    def x(self, seconds: float) -> float:
        """The place of a moment, kept within the row."""
        inside = min(max(seconds, self.start), self.end)
        return self.left + (inside - self.start) * self.per_second

    def begins(self, seconds: float) -> bool:
        """The moment lies in this row, and so in no other."""
        return self.start <= seconds < self.end

    def meets(self, start: float, end: float) -> bool:
        """The stretch shows in this row; one without length shows where it begins."""
        return (start < self.end and end > self.start) or self.begins(start)
