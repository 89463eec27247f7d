"""What the start of a line says: a paragraph number, an item's number, a label such as "Note:"."""

from __future__ import annotations

import re

from rehearse.authoring.manual import Note
from rehearse.authoring.words import SignWords

DOTTED = re.compile(r"(?P<number>\d+(?:\.\d+)+)\.?\s+(?P<text>\S.*)")
ITEM = re.compile(
    r"(?P<number>\d{1,3}|[a-zA-Z]|[ivxIVX]{1,5})[.)]\s+(?P<text>\S.*)"
    r"|\((?P<inner>\d{1,3}|[a-z]|[ivx]{1,5})\)\s+(?P<text2>\S.*)"
    r"|[-*•–]\s+(?P<text3>\S.*)"
)
_NUMBERED_TITLE = re.compile(r"(?P<number>\d+(?:\.\d+)*)[.)]?\s+(?P<text>\S.*)")
_LABEL = re.compile(
    r"[*_]{0,3}(?P<label>[^\W\d_]+)[*_]{0,3}\s*:\s*[*_]{0,3}\s*(?P<text>\S.*)"
    r"|\[!(?P<label2>[A-Za-z]+)\]\s*(?P<text2>\S.*)"
)


def numbered_title(text: str) -> tuple[str, str]:
    """A heading's paragraph number, "" when it has none, and its title."""
    found = _NUMBERED_TITLE.fullmatch(text)
    return (found["number"], found["text"]) if found else ("", text)


def item_start(line: str) -> tuple[str, str] | None:
    """The number ("" for a bullet) and the text of a line that opens an item, or None."""
    found = ITEM.fullmatch(line)
    if found is None:
        return None
    number = found["number"] or found["inner"] or ""
    return number, found["text"] or found["text2"] or found["text3"]


def note_of(text: str, line: int, words: SignWords) -> Note:
    """The remark in a paragraph; plain text when it opens with no label."""
    found = _LABEL.fullmatch(text)
    label = (found["label"] or found["label2"]) if found else ""
    if found is None or label.lower() not in words.labels:
        return Note("text", "", text, line)
    rest = found["text"] or found["text2"]
    danger = label.lower() in words.dangers
    return Note("danger" if danger else "note", label.capitalize(), rest, line)
