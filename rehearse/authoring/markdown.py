"""A Markdown file with headings and lists, read by a library that knows its rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from markdown_it import MarkdownIt
from markdown_it.token import Token

from rehearse.authoring.manual import Item, Manual, Note, Passed, PassedOver, Section
from rehearse.authoring.marks import DOTTED, item_start, note_of, numbered_title
from rehearse.authoring.words import SignWords

_PASSED: dict[str, Passed] = {
    "table_open": "table",
    "fence": "code",
    "code_block": "code",
    "html_block": "code",
}
_BREAKS = frozenset({"softbreak", "hardbreak"})
_SPOKEN = frozenset({"text", "code_inline"})


def read_markdown(text: str, words: SignWords) -> Manual:
    """The sections of the text, a heading each."""
    reader = _Reader(words)
    for token in MarkdownIt("commonmark").enable("table").parse(text):
        reader.take(token)
    return reader.manual()


@dataclass
class _List:
    """A list that is open: its next number, "" for bullets."""

    ordered: bool
    item: int | None = None  # where its open item stands among the section's


class _Reader:
    """Walks the flat tokens of the library; what is inside what follows from opens and closes."""

    def __init__(self, words: SignWords) -> None:
        self._words = words
        self._sections: list[Section] = []
        self._passed: list[PassedOver] = []
        self._head = Section("", "", 1)
        self._levels: list[tuple[int, str]] = []
        self._items: list[Item] = []
        self._notes: list[Note] = []
        self._lists: list[_List] = []
        self._counted = 0
        self._number = ""
        self._heading = 0
        self._table = False

    def take(self, token: Token) -> None:
        """One token more."""
        kind = token.type
        if kind in _PASSED:
            self._passed.append(PassedOver(_PASSED[kind], _line(token)))
            self._table = kind == "table_open"
        elif kind == "table_close":
            self._table = False
        elif kind == "heading_open":
            self._heading = int(token.tag[1:])
        elif kind == "heading_close":
            self._heading = 0
        elif kind in {"ordered_list_open", "bullet_list_open"}:
            self._counted += not self._lists
            self._lists.append(_List(kind == "ordered_list_open"))
        elif kind in {"ordered_list_close", "bullet_list_close"}:
            self._lists.pop()
        elif kind == "list_item_open":
            self._number = token.info if self._lists[-1].ordered else ""
            self._lists[-1].item = None
        elif kind == "inline" and not self._table:
            self._inline(token)

    def _inline(self, token: Token) -> None:
        text, line = _text(token), _line(token)
        if any(child.type == "image" for child in token.children or ()):
            self._passed.append(PassedOver("picture", line))
        if not text:
            return
        if self._heading:
            self._open_section(text, line)
        elif not self._lists:
            self._outside(text, line, token)
        elif self._lists[-1].item is None:
            self._open_item(token, line)
        else:
            at = self._lists[-1].item
            item = self._items[at]
            self._items[at] = replace(item, notes=(*item.notes, note_of(text, line, self._words)))

    def _outside(self, text: str, line: int, token: Token) -> None:
        """Text outside lists: numbered paragraphs are items, the rest is notes."""
        lines = [part.strip() for part in token.content.splitlines()]
        found = [DOTTED.fullmatch(part) for part in lines]
        if all(found):
            self._counted += not self._items
            for at, match in enumerate(found):
                if match is not None:
                    self._items.append(Item(match["number"], match["text"], line + at))
        else:
            self._notes.append(note_of(text, line, self._words))

    def _open_item(self, token: Token, line: int) -> None:
        depth = len(self._lists) - 1
        if depth and (at := self._lists[-2].item) is not None and self._items[at].text[-1] == ":":
            self._items[at] = replace(self._items[at], introduces=True)
        self._lists[-1].item = len(self._items)
        first, *inner = _with_lettered(token)
        if inner and first[-1] == ":":
            self._items.append(Item(self._number, first, line, depth, introduces=True))
        else:
            self._items.append(Item(self._number, first, line, depth))
        for at, (number, text) in enumerate(map(_lettered, inner), start=1):
            self._items.append(Item(number, text, line + at, depth + 1))

    def _open_section(self, text: str, line: int) -> None:
        self._close()
        number, title = numbered_title(text)
        level, self._heading = self._heading, 0
        self._levels = [(other, name) for other, name in self._levels if other < level]
        above = tuple(name for _, name in self._levels)
        self._levels.append((level, title))
        self._head = Section(number, title, line, above)

    def _close(self) -> None:
        if self._head.title or self._items or self._notes:
            items, notes = tuple(self._items), tuple(self._notes)
            lists = max(self._counted, 1)
            self._sections.append(replace(self._head, items=items, notes=notes, lists=lists))
        self._items, self._notes, self._counted = [], [], 0

    def manual(self) -> Manual:
        """Everything read."""
        self._close()
        return Manual(tuple(self._sections), tuple(self._passed))


def _text(token: Token) -> str:
    """The words of a paragraph without marks of emphasis, links and pictures."""
    return " ".join(_words(token.children or ()).split())


def _words(children: Sequence[Token]) -> str:
    return "".join(
        " " if child.type in _BREAKS else child.content if child.type in _SPOKEN else ""
        for child in children
    )


def _with_lettered(token: Token) -> list[str]:
    """The item's text, and each line inside it that opens an entry Markdown knows no list for."""
    parts: list[str] = []
    line: list[Token] = []
    for child in (*(token.children or ()), None):
        if child is not None and child.type not in _BREAKS:
            line.append(child)
            continue
        text = " ".join(_words(line).split())
        line = []
        if not parts or item_start(text) is not None:
            parts.append(text)
        elif text:
            parts[-1] += f" {text}"
    return parts


def _lettered(text: str) -> tuple[str, str]:
    return item_start(text) or ("", text)


def _line(token: Token) -> int:
    return token.map[0] + 1 if token.map else 1
