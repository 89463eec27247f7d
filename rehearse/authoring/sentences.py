"""Long items cut at the ends of their sentences, so that each part can be a step."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rehearse.book.fields import MAX_CHARACTERS, MAX_WORDS

MAX_SENTENCE = MAX_WORDS
_END = re.compile(r"(?<=[.!?;])\s+(?=\S)")


def fits(text: str) -> bool:
    """Whether a procedure file takes the text as one sentence."""
    short = len(text) <= MAX_CHARACTERS and len(text.split()) <= MAX_WORDS
    return short and any(char.isalpha() for char in text)


def pieces(text: str) -> list[str]:
    """The text whole when it fits, else its sentences, as many joined as fit; single spaces."""
    text = " ".join(text.split())
    if fits(text) or not any(char.isalpha() for char in text):
        return [text]
    return list(_joined(_END.split(text)))


def _joined(sentences: list[str]) -> Iterator[str]:
    gathered = ""
    for sentence in sentences:
        together = f"{gathered} {sentence}".strip()
        if gathered and not fits(together):
            yield gathered
            gathered = sentence
        else:
            gathered = together
    if gathered:
        yield gathered
