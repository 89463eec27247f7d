"""How a step is quoted in a spoken sentence."""

from __future__ import annotations

import re

from rehearse.coach.pace import FIRST_WORDS

_HANGING = 2  # letters


def sentence(text: str) -> str:
    """The text with a full stop when it ends in no mark of its own; "" stays ""."""
    text = text.strip()
    if not text:
        return ""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def first_words(step: str, count: int = FIRST_WORDS) -> str:
    """The first words of a step, never all of it, ending before its first punctuation mark.

    A very short word at the end ("a", "to") goes too: it would leave the phrase hanging.
    """
    words = step.split()
    given: list[str] = []
    for word in words[: max(1, min(count, len(words) - 1))]:
        given.append(word)
        if re.search(r"[^\w'’]$", word):
            break
    while len(given) > 1 and len(given[-1]) <= _HANGING:
        given.pop()
    return re.sub(r"[^\w'’]+$", "", " ".join(given))
