"""Things in a row moved apart as little as possible, in order: labels, doors, ends of lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Piece:
    """Something in a row: where its middle would be, how long it is, how firmly it stays."""

    wish: float
    size: float
    weight: float = 1.0


def spread(pieces: Sequence[Piece], low: float, high: float) -> list[float]:
    """The middles of the pieces, in their order, so that none overlaps the next.

    The weighted squares of all moves are least (isotonic regression by pooling neighbours that
    touch, then kept within low and high). Pieces longer together than the room begin at `low`.
    """
    offsets = _offsets(pieces)
    pools: list[tuple[float, float, int]] = []  # mean, weight, how many
    for piece, offset in zip(pieces, offsets, strict=True):
        mean, weight, many = piece.wish - offset, piece.weight, 1
        while pools and pools[-1][0] > mean:
            before, heavy, count = pools.pop()
            mean = (before * heavy + mean * weight) / (heavy + weight)
            weight, many = weight + heavy, many + count
        pools.append((mean, weight, many))
    most = high - sum(piece.size for piece in pieces)
    starts = [max(low, min(mean, most)) for mean, _, many in pools for _ in range(many)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]


def _offsets(pieces: Sequence[Piece]) -> list[float]:
    """How far the middle of each is from the start of the first when all of them touch."""
    offsets, before = [], 0.0
    for piece in pieces:
        offsets.append(before + piece.size / 2)
        before += piece.size
    return offsets
