"""Which step of an old revision is which of a new one, and which of them kept their place."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from difflib import SequenceMatcher

from rehearse.book.model import Step
from rehearse.book.relations import plain

ALIKE = 0.7  # share of words in common from which a step under a new id is taken for the old one


def pairs(old: Sequence[Step], new: Sequence[Step]) -> dict[str, Step]:
    """For each new id its old step: by id, else by words that are the same or nearly so."""
    by_id = {step.id: step for step in old}
    found = {step.id: by_id[step.id] for step in new if step.id in by_id}
    gone = [step for step in old if step.id not in found]
    come = [step for step in new if step.id not in found]
    likeness = sorted(
        ((_alike(b.say, n.say), -i, -j) for i, b in enumerate(gone) for j, n in enumerate(come)),
        reverse=True,
    )
    used: set[int] = set()
    for alike, before, now in likeness:
        if alike >= ALIKE and before not in used and come[-now].id not in found:
            found[come[-now].id] = gone[-before]
            used.add(before)
    return found


def _alike(one: str, other: str) -> float:
    return SequenceMatcher(None, plain(one).split(), plain(other).split(), autojunk=False).ratio()


def kept_in_place(places: Sequence[int]) -> frozenset[int]:
    """The longest run of places that still rise: those that moved are the fewest others."""
    tails: list[int] = []
    behind: dict[int, int | None] = {}
    for place in places:
        at = bisect_left(tails, place)
        behind[place] = tails[at - 1] if at else None
        tails[at : at + 1] = [place]
    kept: set[int] = set()
    last = tails[-1] if tails else None
    while last is not None:
        kept.add(last)
        last = behind[last]
    return frozenset(kept)
