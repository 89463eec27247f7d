"""Lines of text in a drawing whose reader's font is not known."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.paper.letters import legible
from rehearse.paper.wrapping import letters, wrapped

_LETTER = 0.56  # mean width of a letter, as a share of its size; a wide letter counts twice
_WIDEST = 0.7  # the same of heavy type, and of digits alone, in the widest font a drawing names


@dataclass(frozen=True)
class Words:
    """A line of text: its left end, middle or right end, its baseline, and how it is drawn."""

    x: float
    y: float
    text: str
    kind: str = "body"


def fitted(text: str, size: float, width: float, *, heavy: bool = False) -> list[str]:
    """The text in lines no wider than `width` at this size, fit for any screen.

    heavy: in heavy type, or mostly digits.
    """
    if heavy:
        return wrapped(legible(text), width / (size * _WIDEST), _broad)
    return wrapped(legible(text), width / (size * _LETTER), letters)


def _broad(text: str) -> float:
    """How many letters of the usual width, where m and w are far from it."""
    return letters(text) + 0.5 * sum(letter in "mwMW" for letter in text)
