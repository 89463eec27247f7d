"""Texts in lines that fit, for drawings, which do not break lines by themselves."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable

from rehearse.paper.letters import clusters

Columns = Callable[[str], float]


def letters(text: str) -> float:
    """How many letters of the usual width; a wide letter counts about twice."""
    return sum(_wide(letter) for letter in text)


def _wide(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.9
    return 1.3 if letter.isupper() else 1.0


def wrapped(text: str, most: float, columns: Columns = letters) -> list[str]:
    """The text in lines of at most `most` letters; words that are longer are cut.

    columns: how many letters wide a text is.
    """
    lines, line = [], ""
    for word in _pieces(text, most, columns):
        longer = f"{line} {word}" if line else word
        if line and columns(longer) > most:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def _pieces(text: str, most: float, columns: Columns) -> list[str]:
    pieces: list[str] = []
    for word in text.split(" "):
        piece = ""
        for cluster in clusters(word):
            if piece and columns(piece + cluster) > most:
                pieces.append(piece)
                piece = ""
            piece += cluster
        pieces.append(piece)
    return pieces
