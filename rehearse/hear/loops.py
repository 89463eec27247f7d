"""Repetitions a decoder falls into, told from words that were really said again."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from rehearse.events import Word
from rehearse.hear.scoring import plain_words

_FASTEST = 6.0  # words a second nobody exceeds
_LONGEST_BLOCK = 12  # words


def without_loops(words: tuple[str, ...], seconds: float) -> tuple[str, ...]:
    """The words with repeated blocks taken out, one by one, until they fit into the time.

    Commands are shouted again and again: a repetition that fits into the time is kept.
    """
    while len(words) > 3 + _FASTEST * seconds:
        repeated = _repeated_block(words)
        if repeated is None:
            return words
        first, size = repeated
        words = words[:first] + words[first + size :]
    return words


def first_confidence(words: Sequence[Word]) -> float:
    """Mean confidence of the first block where the words are nothing but one block repeated.

    1 for other words. Once a decoder repeats itself it is sure of what comes next, whatever the
    sound is: only the first block tells what the sound holds.
    """
    heard = [word for printed in words for word in plain_words(printed.text)]
    if len(heard) != len(words):
        return 1.0
    for size in range(1, len(heard) // 2 + 1):
        if all(word == heard[at % size] for at, word in enumerate(heard)):
            return fmean(word.confidence for word in words[:size])
    return 1.0


def _repeated_block(words: tuple[str, ...]) -> tuple[int, int] | None:
    """Where a block of words directly follows its like: its first index and size."""
    heard = plain_words(" ".join(words))
    if len(heard) != len(words):
        return None
    for size in range(1, min(_LONGEST_BLOCK, len(heard) // 2) + 1):
        for first in range(len(heard) - 2 * size, -1, -1):
            if heard[first : first + size] == heard[first + size : first + 2 * size]:
                return first + size, size
    return None
