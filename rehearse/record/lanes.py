"""Where labels go in a picture: how wide a text is, and lanes in which no two overlap. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len

# A reader's font is unknown, so a text is taken to be as wide as in the wider common ones.
# Widths are shares of the font's size.
_NARROW = dict.fromkeys("iIjl.,:;'!|", 0.34) | dict.fromkeys("ft r()[]-", 0.44)
_BROAD = dict.fromkeys("mwMW@%", 0.98)
_WIDTHS = _NARROW | _BROAD
_LOWER, _OTHER, _CELL = 0.62, 0.72, 0.6


def text_width(text: str, size: float) -> float:
    """About how wide the text is at this font size, rather too wide than too narrow."""
    return size * sum(_share(character) for character in text)


def _share(character: str) -> float:
    if character in _WIDTHS:
        return _WIDTHS[character]
    if character.isascii():
        return _LOWER if character.islower() or character.isdigit() else _OTHER
    return _CELL * cell_len(character)


def shorten(text: str, size: float, width: float) -> str:
    """The text, cut with an ellipsis where it would be wider than `width`."""
    if text_width(text, size) <= width:
        return text
    kept = ""
    for character in text:
        if text_width(kept + character + "\u2026", size) > width:
            break
        kept += character
    return kept.rstrip() + "\u2026"


def wrap(words: Sequence[str], size: float, width: float) -> tuple[str, ...]:
    """The words in lines no wider than `width`; a word that is wider alone is cut."""
    lines: list[str] = []
    for word in words:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(shorten(word, size, width))
    return tuple(lines)


@dataclass(frozen=True)
class Label:
    """A text to be placed: where it should begin, and what it needs at least.

    x: wanted left edge.
    width: room it takes, its bar included.
    """

    x: float
    width: float


@dataclass(frozen=True)
class Placed:
    """Where a label went: its left edge and its lane, counted from 0."""

    x: float
    lane: int


def place(labels: Iterable[Label], right: float, gap: float) -> tuple[Placed, ...]:
    """A place for every label, in order of `x`: the first lane with room, a new one if none has.

    A label that would cross `right` moves left until it fits, or to 0.
    """
    ends: list[float] = []
    placed: list[Placed] = []
    for label in labels:
        x = max(0.0, min(label.x, right - label.width))
        lane = next((n for n, end in enumerate(ends) if end + gap <= x), len(ends))
        if lane == len(ends):
            ends.append(0.0)
        ends[lane] = x + label.width
        placed.append(Placed(x, lane))
    return tuple(placed)


def flow(
    groups: Iterable[Sequence[Label]], right: float, gap: float, slack: float
) -> tuple[tuple[Placed, ...], ...]:
    """Places for groups of labels that are read as sentences, one group after the other.

    A label may be pushed up to `slack` to the right to stay on its line; one that would go further
    begins the next line at its own place. So a group reads line by line, never back upwards.
    """
    ends: list[float] = []
    placed: list[tuple[Placed, ...]] = []
    for group in groups:
        row: list[Placed] = []
        for label in group:
            wanted = max(0.0, min(label.x, right - label.width))
            lane = row[-1].lane if row else 0
            x = wanted
            if row:
                x = max(wanted, ends[lane] + gap)
                if x - wanted > slack or x + label.width > right:
                    lane, x = lane + 1, wanted
            # Another group's words may lie on the line already.
            while lane < len(ends) and x < ends[lane] + gap and ends[lane] > 0:
                lane, x = lane + 1, wanted
            if lane == len(ends):
                ends.append(0.0)
            ends[lane] = x + label.width
            row.append(Placed(x, lane))
        placed.append(tuple(row))
    return tuple(placed)
