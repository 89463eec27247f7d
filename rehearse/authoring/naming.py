"""Ids made from texts: letters, digits and hyphens, each given once."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

from rehearse.book.fields import MAX_ID

WORDS = 3  # words of a sentence that make a step's id
SHORT = 40  # characters of a made id, so that a number can still be added


def slug(text: str) -> str:
    """The text as an id, "" when nothing of it can stand in one. Accents are dropped."""
    plain = unicodedata.normalize("NFKD", text.replace("'", "").replace("’", ""))
    ascii_only = plain.encode("ascii", "ignore").decode()
    joined = re.sub(r"[^A-Za-z0-9]+", "-", ascii_only).strip("-").lower()
    return joined[:SHORT].strip("-")


def step_id(say: str, passed_over: Collection[str], number: int) -> str:
    """An id for a sentence: its first words of weight; `step-N` when it has none in ASCII."""
    words = [word for word in slug(say).split("-") if word not in passed_over]
    return slug(" ".join(words[:WORDS])) or f"step-{number}"


def unique(wanted: str, taken: Collection[str]) -> str:
    """The id, with the first free number behind it when it is taken."""
    if wanted not in taken:
        return wanted
    number = 2
    while f"{wanted}-{number}" in taken:
        number += 1
    return f"{wanted}-{number}"[-MAX_ID:].lstrip("-")
