"""A plain text file with numbered paragraphs and lists, read line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rehearse.authoring.manual import Item, Manual, Note, Section
from rehearse.authoring.marks import DOTTED, item_start, note_of, numbered_title
from rehearse.authoring.words import SignWords

_RULE = re.compile(r"[=\-~_]{3,}")
_LONGEST_TITLE = 12  # words; a longer line without a number is text


@dataclass(frozen=True)
class _Block:
    """One paragraph or item: its first line's place and indent, its lines joined.

    alone: an empty line, or the file's edge, stands on both sides. ruled: a rule stands below it.
    """

    text: str
    line: int
    indent: int
    alone: bool
    ruled: bool


def read_plain(text: str, words: SignWords) -> Manual:
    """The sections of the text. Lines that belong to no item are notes of their section.

    A dotted number ("4.2") opens a heading when a deeper number or a list follows, else an item.
    """
    blocks = list(_blocks(text.splitlines(), words))
    gathered = _Gathered(words)
    for at, block in enumerate(blocks):
        following = blocks[at + 1 :]
        if _is_heading(block, following, words):
            gathered.heading(block)
        else:
            gathered.block(block)
    return Manual(tuple(gathered.sections()))


def _blocks(lines: Sequence[str], words: SignWords) -> Iterator[_Block]:
    """Lines joined into blocks; one begins after an empty line, at each item and each label."""
    gathered: list[str] = []
    first, empty_before = 0, True
    for number, raw in enumerate([*lines, ""], start=1):
        line = raw.expandtabs(4).rstrip()
        ruled = bool(gathered) and _RULE.fullmatch(line.strip()) is not None
        opens = _opens(line.strip(), words)
        if gathered and (not line or ruled or opens or (len(gathered) == 1 and _heads(gathered))):
            yield _joined(gathered, first, empty_before and (not line or ruled), ruled)
            gathered, empty_before = [], False
        if not line or _RULE.fullmatch(line.strip()):
            empty_before = True
        else:
            first = first if gathered else number
            gathered.append(line)


def _opens(line: str, words: SignWords) -> bool:
    listed = item_start(line) is not None or DOTTED.fullmatch(line) is not None
    return listed or bool(note_of(line, 1, words).label)


def _heads(gathered: Sequence[str]) -> bool:
    """A line in capitals stands for itself: what follows without an empty line is not of it."""
    return _capitals(gathered[0]) and item_start(gathered[0].strip()) is None


def _capitals(text: str) -> bool:
    letters = [c for c in text if c.isalpha()]
    return len(letters) > 3 and text.upper() == text and text.lower() != text


def _joined(lines: Sequence[str], number: int, alone: bool, ruled: bool) -> _Block:
    indent = len(lines[0]) - len(lines[0].lstrip())
    return _Block(" ".join(" ".join(lines).split()), number, indent, alone, ruled)


def _is_heading(block: _Block, following: Sequence[_Block], words: SignWords) -> bool:
    if block.ruled:
        return True
    dotted = DOTTED.fullmatch(block.text)
    if dotted is not None:
        return _leads(dotted["number"], following, words)
    if block.indent or _opens(block.text, words):
        return False
    short = len(block.text.split()) <= _LONGEST_TITLE and block.text[-1] not in ".,;:!"
    listed = bool(following) and item_start(following[0].text) is not None
    return short and (_capitals(block.text) or (block.alone and listed))


def _leads(number: str, following: Sequence[_Block], words: SignWords) -> bool:
    """Whether a list or a deeper number comes before the next heading or number."""
    for at, block in enumerate(following):
        dotted = DOTTED.fullmatch(block.text)
        if dotted is not None:
            return dotted["number"].startswith(f"{number}.")
        if item_start(block.text) is not None:
            return True
        if _is_heading(block, following[at + 1 :], words):
            return False
    return False


class _Gathered:
    """Sections being filled, block by block."""

    def __init__(self, words: SignWords) -> None:
        self._words = words
        self._sections: list[Section] = []
        self._items: list[Item] = []
        self._notes: list[Note] = []
        self._head = Section("", "", 1)
        self._indents: list[int] = []
        self._lists = 0

    def heading(self, block: _Block) -> None:
        """Close the section and open another."""
        self._close()
        number, title = numbered_title(block.text)
        above = self._head.above
        if self._head.title and number.startswith(f"{self._head.number}."):
            above = (*above, self._head.title)
        elif number.count(".") < self._head.number.count("."):
            above = above[: number.count(".")]
        self._head = Section(number, title, block.line, above)

    def block(self, block: _Block) -> None:
        """An item, or a note: inside the last item when it is indented, else of the section."""
        dotted = DOTTED.fullmatch(block.text)
        found = (dotted["number"], dotted["text"]) if dotted else item_start(block.text)
        if found is not None:
            self._item(*found, block)
            return
        note = note_of(block.text, block.line, self._words)
        inside = self._items and block.indent > (self._indents[-1] if self._indents else 0)
        if inside:
            last = self._items[-1]
            self._items[-1] = replace(last, notes=(*last.notes, note))
        else:
            self._notes.append(note)

    def _item(self, number: str, text: str, block: _Block) -> None:
        while self._indents and block.indent < self._indents[-1]:
            self._indents.pop()
        if not self._indents or block.indent > self._indents[-1]:
            self._indents.append(block.indent)
        depth = len(self._indents) - 1
        if depth == 0 and (number in {"1", "a", "A", "i"} or not self._items):
            self._lists += 1
        if self._items and depth > self._items[-1].depth and self._items[-1].text.endswith(":"):
            self._items[-1] = replace(self._items[-1], introduces=True)
        self._items.append(Item(number, text, block.line, depth))

    def _close(self) -> None:
        if self._head.title or self._items or self._notes:
            items, notes = tuple(self._items), tuple(self._notes)
            self._sections.append(
                replace(self._head, items=items, notes=notes, lists=max(self._lists, 1))
            )
        self._items, self._notes, self._indents, self._lists = [], [], [], 0

    def sections(self) -> list[Section]:
        """Everything gathered."""
        self._close()
        return self._sections
