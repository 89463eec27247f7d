"""Which of two texts a sound fits better, by the ways in which one search read it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rapidfuzz.distance import LCSseq

from rehearse.hear.word_list import Pieces, Spelling


def ahead(one: Pieces, other: Pieces, said: Sequence[tuple[Pieces, float]], lost: float) -> float:
    """By how much one text is ahead of the other, both as a whole and by what differs."""
    own, others = _differing(one, other)
    whole = _best(said, lost, lambda words: words == one)
    whole -= _best(said, lost, lambda words: words == other)
    parts = _best(said, lost, lambda words: _has(words, own, others))
    parts -= _best(said, lost, lambda words: _has(words, others, own))
    if whole * parts <= 0:
        return 0.0
    return min(whole, parts, key=abs)


def _best(
    said: Sequence[tuple[Pieces, float]], lost: float, fits: Callable[[Pieces], bool]
) -> float:
    return max(lost, next((score for words, score in said if fits(words)), lost))


def _differing(one: Pieces, other: Pieces) -> tuple[Pieces, Pieces]:
    """What stands in one and in the other between what both begin and end with."""
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    end = 0
    while end < min(len(one), len(other)) - start and one[-1 - end] == other[-1 - end]:
        end += 1
    return one[start : len(one) - end], other[start : len(other) - end]


def _has(words: Pieces, wanted: Pieces, unwanted: Pieces) -> bool:
    """Whether the wanted words stand together in these, and the unwanted ones do not."""
    return (_stands(words, wanted) or not wanted) and not (unwanted and _stands(words, unwanted))


def _stands(words: Pieces, stretch: Pieces) -> bool:
    return any(words[at : at + len(stretch)] == stretch for at in range(len(words)))


def common(said: str, spelling: Spelling) -> float:
    """How much of a text stands in what was said, in its order; longer texts first."""
    text = "".join(spelling.pieces)
    return LCSseq.similarity(said, text) ** 2 / len(text)
