"""A time axis that runs down a picture, cut where nothing happens, and texts beside it. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

QUIET = 5.0  # seconds; a longer stretch without anything is cut out
CUT = 26.0  # units that a cut takes
_ABOUT = 0.8  # seconds of quiet that stay about whatever happens


@dataclass(frozen=True)
class Piece:
    """A stretch of time, seconds, drawn from `top` to `bottom`; cut: nothing happens in it."""

    start: float
    end: float
    top: float
    bottom: float
    cut: bool = False

    def y(self, time: float) -> float:
        """Where this moment stands."""
        share = (time - self.start) / (self.end - self.start)
        return self.top + share * (self.bottom - self.top)


@dataclass(frozen=True)
class Axis:
    """Time to height; the pieces follow each other without a gap."""

    pieces: tuple[Piece, ...]

    @property
    def top(self) -> float:
        """Where the first moment stands."""
        return self.pieces[0].top

    @property
    def bottom(self) -> float:
        """Where the last moment stands."""
        return self.pieces[-1].bottom

    def y(self, time: float) -> float:
        """Where a moment stands; one beyond the ends stands at the end."""
        for piece in self.pieces:
            if time < piece.end:
                return piece.y(max(time, piece.start))
        return self.bottom

    def seconds(self, every: int) -> tuple[tuple[float, int], ...]:
        """Heights of the whole seconds that are multiples of `every`, but for those cut out."""
        return tuple(
            (piece.y(second), second)
            for piece in self.pieces
            if not piece.cut
            for second in range(math.ceil(piece.start), math.ceil(piece.end))
            if second % every == 0
        )


def axis(spans: Iterable[tuple[float, float]], top: float, per_second: float) -> Axis:
    """An axis on which every span of time, in seconds, can be seen."""
    busy = _merged((start - _ABOUT, end + _ABOUT) for start, end in spans)
    pieces: list[Piece] = []
    for start, end in busy or [(0.0, 1.0)]:
        if pieces:
            before = pieces[-1]
            pieces.append(Piece(before.end, start, before.bottom, before.bottom + CUT, cut=True))
        begins = pieces[-1].bottom if pieces else top
        pieces.append(Piece(start, end, begins, begins + (end - start) * per_second))
    return Axis(tuple(pieces))


def _merged(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The spans in order, those made one between which there is no long quiet."""
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start - merged[-1][1] <= QUIET - 2 * _ABOUT:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def beside(wanted: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Tops for boxes of these heights that do not overlap and keep their order.

    Each is as near as can be to where it is wanted, by the sum of squares: isotonic regression
    (pool adjacent violators) on what is left when the heights above are taken away.
    """
    pools: list[tuple[float, int]] = []  # mean of what is wanted, how many boxes
    above = 0.0
    for top, height in zip(wanted, heights, strict=True):
        mean, count = top - above, 1
        while pools and pools[-1][0] > mean:
            other, others = pools.pop()
            mean = (mean * count + other * others) / (count + others)
            count += others
        pools.append((mean, count))
        above += height
    tops: list[float] = []
    above = 0.0
    for mean, count in pools:
        for _ in range(count):
            tops.append(mean + above)
            above += heights[len(tops) - 1]
    return tops
