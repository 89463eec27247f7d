"""What the recogniser should expect of answers: every name that could be one, right or wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from rehearse.register.model import Register
from rehearse.register.phrasing import phrasing
from rehearse.register.question import Form

SHORTEST = 4  # words of the end of a place that is said alone: "aft of door one left"


def expected(register: Register, forms: Collection[Form]) -> Iterator[str]:
    """Wordings for these forms of answer. The right one is not favoured: all are given alike."""
    words = phrasing(register.language)
    carried = [kind for kind in register.kinds if not kind.fixed]
    if Form.KINDS in forms:
        for kind in carried:
            yield words.counted(1, kind)
            yield words.counted(2, kind)
            yield from kind.also
    if Form.STATIONS in forms:
        for station in register.stations:
            yield from _endings(station.place)
            yield station.name
    if Form.NUMBER in forms:
        yield from (words.number(count) for count in range(1, 13))
    if Form.POSITIONS in forms:
        yield from (position.id for position in register.positions)
    if Form.DOORS in forms:
        yield from (door.name for door in register.doors)


def _endings(place: str) -> Iterator[str]:
    """The place, and what is left of it when its first words are left out."""
    words = place.split()
    yield place
    for at in range(1, len(words) - SHORTEST + 1):
        yield " ".join(words[at:])
