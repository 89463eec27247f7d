"""What a phrase of an operator's lexicon may be: a word or a few, as they are said."""

from __future__ import annotations

from rehearse.book import fields
from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.nodes import Node

MOST_WORDS = 8  # of one phrase


def phrase(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A word or a few, as they are said."""
    placed = fields.label(node, field, faults)
    if placed is None:
        return None
    count = len(placed.value.split())
    if not any(char.isalnum() and char.isascii() for char in placed.value):
        fault = f"{shown(placed.value)} has no letters"
        faults.add(placed.mark, field, fault, "write the words as they are said")
    elif count > MOST_WORDS:
        fault = f"the phrase has {count} words, more than {MOST_WORDS}"
        faults.add(placed.mark, field, fault, "shorten it")
    else:
        return placed
    return None
