"""What the signs of a plan mean, in rows below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rehearse.plan.frame import MARK
from rehearse.plan.lettering import width
from rehearse.plan.shapes import Line, Marker

HEIGHT = 14.5  # millimetres below a plan; two rows and a sentence
_SIZE = 2.2
_ROW = 5.2
_CHEVRONS = 4.0  # millimetres that those of a door may take
_SLIDES = ("", ", slide", ", slide-raft")
_NAMES = {"door": "door", "hatch": "hatch", "position": "crew seat", "station": "station"}
_TO_SCALE = "Nose up. Lengths are to scale; the width has a scale of its own."
_SHORTENED = "Nose up. Lengths are to scale, but short between zigzags, where the metres are told."


def key(
    markers: Sequence[Marker], shortened: bool, wide: float, top: float
) -> tuple[tuple[Marker, ...], tuple[Line, ...]]:
    """One sample of every sign in use, and the words beside the samples."""
    samples: list[Marker] = []
    words: list[Line] = []
    x, y = 0.0, top + 1.0 + MARK / 2
    for text, sample in _signs(markers).items():
        shown = replace(sample, side=1 if sample.slide else 0)
        after = shown.box.width + (_CHEVRONS if shown.slide else 0.0) + 1.4
        length = after + width(text, _SIZE) + 5.0
        if x and x + length > wide:
            x, y = 0.0, y + _ROW
        samples.append(replace(shown, box=shown.box.at(x + shown.box.width / 2, y)))
        words.append(Line(x + after, y + 0.36 * _SIZE, text, _SIZE))
        x += length
    sentence = _SHORTENED if shortened else _TO_SCALE
    words.append(Line(0.0, y + _ROW, sentence, _SIZE))
    return tuple(samples), tuple(words)


def _signs(markers: Sequence[Marker]) -> dict[str, Marker]:
    """The first marker of each kind by what it means, doors first."""
    found: dict[str, Marker] = {}
    for sort, name in _NAMES.items():
        for marker in sorted((m for m in markers if m.sort == sort), key=lambda m: -m.slide):
            found.setdefault(name + _SLIDES[marker.slide], marker)
    return found
