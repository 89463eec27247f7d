"""Written text made fit for a voice: what speech engines misread, spelt as it is said."""

from __future__ import annotations

import re

from rehearse.language.english_numbers import spelt

_SIDES = {"L": "left", "R": "right"}
_UNITS = {
    "kg": "kilograms", "km": "kilometres", "cm": "centimetres", "mm": "millimetres",
    "m": "metres", "ft": "feet", "min": "minutes", "s": "seconds", "h": "hours",
}  # fmt: skip
_DOOR = re.compile(r"\b([1-9])\s?([LR])\b")
_DOORS_JOINED = re.compile(r"(?<=\d[LR])/(?=\d[LR]\b)")
_UNIT = re.compile(rf"(?<=\d)\s?({'|'.join(_UNITS)})\b(?!/)")
# Engines read a leading "close" as the adjective, which rhymes with "dose".
_CLOSE = re.compile(
    r"\b([Cc])lose(?= (?:the|this|that|your|its|it|them|both|all|every|each|any|door|flap)\b)"
)


def _english(text: str) -> str:
    text = _DOORS_JOINED.sub(", ", text)
    text = _DOOR.sub(lambda door: f"{spelt(int(door[1]))} {_SIDES[door[2]]}", text)
    text = _UNIT.sub(lambda unit: f" {_UNITS[unit[1]]}", text)
    return _CLOSE.sub(r"\1loze", text)


def spoken(text: str, language: str) -> str:
    """The text as the voice should get it, in single spaces. Other languages are left alone."""
    text = " ".join(text.split())
    return _english(text) if language == "en" else text
