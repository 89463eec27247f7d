"""The labels beside a plan: a block for each station, spread so that none touches another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.paper.letters import legible
from rehearse.paper.wrapping import wrapped
from rehearse.plan.frame import BEND, MARK, Frame
from rehearse.plan.lettering import LEAD, LETTER, columns
from rehearse.plan.marking import SIDES, badge
from rehearse.plan.shapes import Box, Label, Line, Marker
from rehearse.plan.spreading import Piece, spread
from rehearse.register.model import Register, Station

SIZES = (2.7, 2.5, 2.3, 2.1, 1.95)  # millimetres, of the letters; the largest that fits is taken
_BETWEEN = 1.3  # millimetres from one label to the next
_KEPT = "\u00a0"  # a space at which no line ends
_NEAR = 0.2  # metres from the centreline; what is further out has its label on that side
_LINE = 1.3  # millimetres between two lines that leave the cabin


@dataclass(frozen=True)
class Block:
    """What a label says: the station's name in one or more lines, then what it holds."""

    station: str
    number: int
    side: int
    name: tuple[str, ...]
    items: tuple[str, ...]
    size: float

    @property
    def height(self) -> float:
        """Millimetres; one line at least as high as the number's marker."""
        return max(MARK, (len(self.name) + len(self.items)) * self.size * LEAD + 0.4)


def held(register: Register, station: Station) -> str:
    """ "2 portable oxygen bottles, 1 megaphone"; a line may not end after a number."""
    kinds = ((item.count, register.kind(item.kind)) for item in station.items)
    return ", ".join(f"{count}{_KEPT}{legible(kind.named(count))}" for count, kind in kinds)


def blocks(
    register: Register, numbered: Sequence[tuple[Station, int]], frame: Frame, size: float
) -> list[Block]:
    """A block for each station; what stands in the middle goes to the side with more room."""
    found: list[Block] = []
    widest = max((badge(str(number)) for _, number in numbered), default=MARK)
    most = (frame.label - widest - 1.0) / (size * LETTER)
    heights = {-1: 0.0, 1: 0.0}
    for station, number in sorted(numbered, key=_central):
        block = Block(
            station.id,
            number,
            SIDES[station.side] or _freer(heights, station),
            tuple(wrapped(legible(station.name), most, columns)),
            tuple(wrapped(held(register, station), most, columns)),
            size,
        )
        heights[block.side] += block.height + _BETWEEN
        found.append(block)
    return found


def _central(numbered: tuple[Station, int]) -> bool:
    """It has no side of its own; these come last."""
    station, _ = numbered
    return station.side == "centre" and abs(station.at[1]) < _NEAR


def _freer(heights: dict[int, float], station: Station) -> int:
    """The side the station is nearer to; on the centreline the one with less beside it."""
    if abs(station.at[1]) >= _NEAR:
        return -1 if station.at[1] < 0 else 1
    return min(heights, key=lambda side: heights[side])


def room(found: Sequence[Block]) -> float:
    """How high the fuller side is, millimetres."""
    return max(
        sum(block.height + _BETWEEN for block in found if block.side == side) for side in (-1, 1)
    )


def labels(
    found: Sequence[Block], markers: Sequence[Marker], frame: Frame, top: float, bottom: float
) -> list[Label]:
    """The blocks as labels between top and bottom, each with a line to its marker."""
    stations = {marker.id: marker for marker in markers if marker.sort == "station"}
    placed: list[Label] = []
    for side in (-1, 1):
        mine = [(block, stations[block.station]) for block in found if block.side == side]
        mine.sort(key=lambda pair: (pair[1].box.y, pair[1].box.x))
        ports = _ports([marker for _, marker in mine], _at_wall(markers, side, frame), frame)
        pieces = [
            Piece(port + (block.height - MARK) / 2, block.height + _BETWEEN)
            for (block, _), port in zip(mine, ports, strict=True)
        ]
        middles = spread(pieces, top, bottom)
        placed += [
            _label(block, marker, port, y, frame)
            for (block, marker), port, y in zip(mine, ports, middles, strict=True)
        ]
    return placed


def _at_wall(markers: Sequence[Marker], side: int, frame: Frame) -> list[Marker]:
    """The doors of a side, and the crew seats near its wall: no line is to pass below them."""
    seats = {"position", "own"}
    return [m for m in markers if m.side == side or (m.sort in seats and _near(m, side, frame))]


def _near(marker: Marker, side: int, frame: Frame) -> bool:
    """Whether it stands in the outer quarter of the cabin on this side."""
    return side * (marker.box.x - frame.width / 2) > frame.cabin / 4


def _ports(inner: Sequence[Marker], wall: Sequence[Marker], frame: Frame) -> list[float]:
    """Where the line of each station passes the wall: near it, beside all that stands there."""
    both = sorted((*inner, *wall), key=lambda marker: (marker.box.y, marker.sort == "station"))
    pieces = [_piece(marker, frame) for marker in both]
    middles = dict(zip(((m.sort, m.id) for m in both), spread(pieces, -1e6, 1e6), strict=True))
    return [middles[marker.sort, marker.id] for marker in inner]


def _piece(marker: Marker, frame: Frame) -> Piece:
    """Doors and seats stay where they are; the line of what stands at the wall hardly moves."""
    if marker.sort != "station":
        return Piece(marker.box.y, MARK + _LINE / 2, 1e6)
    if _near(marker, -1, frame) or _near(marker, 1, frame):
        return Piece(marker.box.y, 1.5 * _LINE, 100.0)
    return Piece(marker.box.y, _LINE)


def _label(block: Block, marker: Marker, port: float, y: float, frame: Frame) -> Label:
    """Its number stands at the edge towards the plan, its words outside of that."""
    half = frame.label / 2
    box = Box(half if block.side < 0 else frame.width - half, y, frame.label, block.height)
    inner = box.right if block.side < 0 else box.left
    bend = inner - block.side * BEND
    wall = frame.left if block.side < 0 else frame.right
    end = (marker.box.x, marker.box.y)  # below the marker, which hides it
    leader = ((inner, box.top + MARK / 2), (bend, port), (wall, port), end)
    start = inner + block.side * (badge(str(block.number)) + 1.0)
    return Label(block.station, block.number, block.side, box, _lines(block, box, start), leader)


def _lines(block: Block, box: Box, start: float) -> tuple[Line, ...]:
    """A single line stands beside the middle of its number, several from its top on."""
    kind = "end" if block.side < 0 else "start"
    texts = [
        *((text, f"{kind} name") for text in block.name),
        *((text, kind) for text in block.items),
    ]
    first = box.top + (0.9 * block.size if len(texts) > 1 else MARK / 2 + 0.36 * block.size)
    step = block.size * LEAD
    return tuple(
        Line(start, first + at * step, text, block.size, what)
        for at, (text, what) in enumerate(texts)
    )
