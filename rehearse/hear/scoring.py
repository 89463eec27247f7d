"""Texts as they are scored and compared: without case, punctuation and hyphens."""

from __future__ import annotations

import re

_HYPHENS = re.compile(r"(?<=\w)[-\u2010\u2011–/](?=\w)")
_BETWEEN_NUMBERS = re.compile(r"(?<=\d)[x×](?=\d)")
_BY = {"en": " by "}  # how the sign in "2x2" is spoken, by language
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


def signs_spoken(text: str, language: str) -> str:
    """The text with signs that stand for a word of the language as that word: "2x2" as "2 by 2"."""
    return _BETWEEN_NUMBERS.sub(_BY.get(language, " "), text)
