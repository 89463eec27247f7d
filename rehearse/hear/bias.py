"""Which of the expected texts the decoder's prompt holds, when the book is longer than it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rapidfuzz import fuzz

from rehearse.hear.recogniser import Expectation
from rehearse.hear.scoring import plain


def bias(
    expectation: Expectation, readings: Sequence[str], cost: Callable[[str], int], limit: int
) -> list[str]:
    """Wordings and contrasts alternately, those nearest to a reading first, as far as they fit.

    Args:
        expectation: what may be said, and what it could be confused with.
        readings: what was decoded freely; without any, the expectation's own order holds.
        cost: tokens a text takes.
        limit: tokens all texts together may take.
    """
    heard = [plain(reading) for reading in readings]

    def distance(text: str) -> float:
        shown = plain(text)
        return -max((fuzz.token_set_ratio(shown, reading) for reading in heard), default=0.0)

    wordings = sorted(expectation.wordings, key=distance)
    contrasts = sorted(expectation.contrasts, key=distance)
    chosen: dict[str, str] = {}
    left = limit
    for text in _alternately(wordings, contrasts):
        if plain(text) not in chosen and cost(text) <= left:
            left -= cost(text)
            chosen[plain(text)] = text
    return list(chosen.values())


def _alternately(first: Sequence[str], second: Sequence[str]) -> list[str]:
    longest = max(len(first), len(second))
    return [texts[at] for at in range(longest) for texts in (first, second) if at < len(texts)]
