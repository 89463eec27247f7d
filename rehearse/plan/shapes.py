"""What a drawing consists of, as values: millimetres from its top left corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

Point = tuple[float, float]
Sort = Literal["door", "hatch", "position", "own", "station"]


@dataclass(frozen=True)
class Box:
    """An upright rectangle: its middle and its size."""

    x: float
    y: float
    width: float
    height: float

    @property
    def left(self) -> float:
        """Its left edge."""
        return self.x - self.width / 2

    @property
    def top(self) -> float:
        """Its upper edge."""
        return self.y - self.height / 2

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width / 2

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height / 2

    def overlap(self, other: Box, gap: float = 0.0) -> Point:
        """How far both reach into each other across and down; not above 0 when they do not."""
        across = (self.width + other.width) / 2 + gap - abs(self.x - other.x)
        down = (self.height + other.height) / 2 + gap - abs(self.y - other.y)
        return (across, down) if across > 0 and down > 0 else (0.0, 0.0)

    def at(self, x: float, y: float) -> Box:
        """The same, elsewhere."""
        return replace(self, x=x, y=y)


@dataclass(frozen=True)
class Marker:
    """A door, seat or station on the plan.

    id: in the register. text: what stands in it. told: what it is, in words.
    slide: chevrons that stand for what comes out of a door, 0 to 2. side: -1 left, 1 right, 0.
    """

    sort: Sort
    id: str
    text: str
    told: str
    box: Box
    slide: int = 0
    side: int = 0


@dataclass(frozen=True)
class Line:
    """A line of text: its left end or middle, its baseline, its size."""

    x: float
    y: float
    text: str
    size: float
    kind: str = "plain"


@dataclass(frozen=True)
class Label:
    """What stands beside the plan about a station: `number` is that in its marker.

    side: -1 left of the plan, 1 right. box: the badge with the number and the words.
    leader: the line from the badge to the marker.
    """

    station: str
    number: int
    side: int
    box: Box
    lines: tuple[Line, ...]
    leader: tuple[Point, ...]


@dataclass(frozen=True)
class Drawing:
    """A cabin plan.

    walls: paths of the fuselage. zones: dashed lines between zones. breaks: zigzags where a
    stretch is shortened. name: what it shows. told: the same in words, for those who cannot see.
    """

    width: float
    height: float
    name: str
    told: str
    walls: tuple[str, ...]
    breaks: tuple[str, ...]
    zones: tuple[tuple[Point, Point], ...]
    words: tuple[Line, ...]
    markers: tuple[Marker, ...]
    labels: tuple[Label, ...] = ()
    key: tuple[Marker, ...] = ()


def path(points: Sequence[Point]) -> str:
    """The points joined, as SVG writes it."""
    return "M" + " ".join(f"{x:.2f} {y:.2f}" for x, y in points)
