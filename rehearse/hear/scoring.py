"""Texts as they are scored and compared: without case, punctuation and hyphens."""

from __future__ import annotations

import re

_HYPHENS = re.compile(r"(?<=\w)[-\u2010\u2011–/](?=\w)")
_MARKS = re.compile(r"[^\w\s'%]+")


def plain_words(text: str) -> list[str]:
    """The words of a text in lower case; "cross-checked" is two, "2L" and "don't" are one."""
    text = text.lower().replace("’", "'")
    return [word for part in _MARKS.sub(" ", _HYPHENS.sub(" ", text)).split()
            if (word := part.strip("'"))]  # fmt: skip


def plain(text: str) -> str:
    """The text in the one form that is scored, so that no comma decides between two texts."""
    words = plain_words(text)
    return " ".join([words[0].capitalize(), *words[1:]]) if words else ""


def printed_words(text: str) -> tuple[str, ...]:
    """The words as printed, one for each of `plain_words`: hyphens part them, marks stay on."""
    parts = _HYPHENS.sub(" ", text).split()
    return tuple(part for part in parts if len(plain_words(part)) == 1)
