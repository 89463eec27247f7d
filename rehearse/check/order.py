"""Which procedures are asked, and in which order, drawn from a seed that anyone can draw again.

Each procedure's rank is the SHA-256 of "seed:id" in UTF-8; the lowest come first. So a draw does
not depend on a programming language's random numbers, nor on the order in which ids are given.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from rehearse.errors import RehearseError


@dataclass(frozen=True)
class Draw:
    """What was drawn: ids in the order in which they are asked, from how many, by which seed."""

    seed: int
    procedures: tuple[str, ...]
    pool: int

    def told(self, place: int) -> str:
        """How the procedure at this place, counted from 1, came to be asked."""
        count = len(self.procedures)
        return f"seed {self.seed}: {place} of {count} drawn from {self.pool}"


def new_seed() -> int:
    """A seed that nobody could foresee, short enough to be read aloud."""
    return secrets.randbelow(1_000_000)


def draw(procedures: Sequence[str], seed: int, count: int | None = None) -> Draw:
    """Draw `count` of the procedures (all when None) in an order that the seed decides.

    Raises:
        RehearseError: there are fewer than `count`, or none.
    """
    pool = sorted(set(procedures))
    wanted = len(pool) if count is None else count
    if not 1 <= wanted <= len(pool):
        raise RehearseError(f"{wanted} of {len(pool)} procedures: ask for 1 to {len(pool)} of them")
    ranked = sorted(pool, key=lambda name: sha256(f"{seed}:{name}".encode()).digest())
    return Draw(seed, tuple(ranked[:wanted]), len(pool))
