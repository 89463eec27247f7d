"""How much room a text takes in the drawing's letters, which are all equally wide."""

from __future__ import annotations

import unicodedata

LETTER = 0.602  # width of a letter, as a share of its size; of the fonts named in the drawing
LEAD = 1.22  # from one line to the next, likewise


def columns(text: str) -> float:
    """How many letters wide; a wide letter counts twice, a mark upon another not at all."""
    return float(len(text)) if text.isascii() else sum(map(_wide, text))


def width(text: str, size: float) -> float:
    """Millimetres, for letters of this size in millimetres."""
    return columns(text) * size * LETTER


def _wide(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    return 2.0 if unicodedata.east_asian_width(letter) in "WF" else 1.0
