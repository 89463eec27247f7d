"""A closed list: texts in the words of a model's vocabulary, and what a path through them says.

A model knows words, or pieces of words where a language joins them; what it does not know is told
by name. The model's own grammar is loose: after every word any word of the list may follow, at a
cost that the filler sets (`Grammar`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rehearse.language import Language
from rehearse.language.aloud import aloud

Pieces = tuple[str, ...]

MARKS = ",.!?;:"  # of a printed word, which are no part of it
UNKNOWN = "[unk]"  # stands for speech that is no word of the list; a word like any other


@dataclass(frozen=True)
class Spelling:
    """A printed text in pieces. `counts` are the pieces of each printed word, 0 for a bare mark."""

    text: str
    pieces: Pieces
    counts: tuple[int, ...]


class Vocabulary:
    """What a model can hear.

    knows: whether a word is in the model's vocabulary.
    """

    def __init__(self, knows: Callable[[str], bool], language: Language) -> None:
        self._language = language
        self._knows = lru_cache(maxsize=50_000)(knows)

    def spelling(self, text: str) -> Spelling | None:
        """The text in words of the vocabulary; None where the model lacks one."""
        parts = [self._word(word) for word in text.split()]
        if any(part is None for part in parts):
            return None
        found = [part for part in parts if part is not None]
        pieces = tuple(piece for part in found for piece in part)
        return Spelling(text, pieces, tuple(map(len, found))) if pieces else None

    def lacking(self, text: str) -> tuple[str, ...]:
        """The words of a text, as they sound, that the model does not know."""
        sounds = (sound for word in text.split() for sound in aloud(word, self._language))
        return tuple(dict.fromkeys(sound for sound in sounds if self._split(sound) is None))

    def _word(self, printed: str) -> Pieces | None:
        if printed.lower().startswith(UNKNOWN):
            return (UNKNOWN,)
        parts = [self._split(sound) for sound in aloud(printed, self._language)]
        if any(part is None for part in parts):
            return None
        return tuple(piece for part in parts if part is not None for piece in part)

    def _split(self, word: str) -> Pieces | None:
        """The word as few pieces as possible, the longer ones first; in most languages itself."""
        if self._knows(word):
            return (word,)
        if not self._language.joins_words:
            return None
        best: list[Pieces | None] = [()]
        for end in range(1, len(word) + 1):
            ways = [
                (*before, word[at:end])
                for at in range(end)
                if (before := best[at]) is not None and self._knows(word[at:end])
            ]
            best.append(min(ways, key=len) if ways else None)
        return best[-1]


class Grammar:
    """Phrases that are given to the engine, each with the text it says.

    Texts that sound alike share a phrase; the first of them is what is printed.
    filler: a word for what is none of the listed ones, and how often it is listed, which makes a
        jump from one phrase into another cost about the logarithm of that.
    """

    def __init__(self, spellings: Iterable[Spelling], filler: tuple[str, int]) -> None:
        self.by_pieces: dict[Pieces, Spelling] = {}
        for spelling in spellings:
            self.by_pieces.setdefault(spelling.pieces, spelling)
        self.filler, self._times = filler
        self._longest = max(map(len, self.by_pieces), default=0)

    @property
    def phrases(self) -> list[str]:
        """As the engine takes them."""
        heard = (
            " ".join(self.filler if piece == UNKNOWN else piece for piece in pieces)
            for pieces in self.by_pieces
        )
        return [*heard, *[self.filler] * self._times]

    def listed(self, pieces: Pieces) -> tuple[Spelling, ...] | None:
        """The listed texts that these pieces are, one after another; None if they are not."""
        ways: list[tuple[Spelling, ...] | None] = [()]
        for end in range(1, len(pieces) + 1):
            ways.append(
                next(
                    (
                        (*before, self.by_pieces[pieces[at:end]])
                        for at in range(max(0, end - self._longest), end)
                        if (before := ways[at]) is not None and pieces[at:end] in self.by_pieces
                    ),
                    None,
                )
            )
        return ways[-1]


def printed(pieces: Sequence[str], words: Mapping[Pieces, str]) -> tuple[str, ...]:
    """Pieces put together again to printed words where they follow each other as in one.

    words: printed words by their pieces. Pieces of no word stand by themselves.
    """
    longest = max(map(len, words), default=1)
    out: list[str] = []
    at = 0
    while at < len(pieces):
        for count in range(min(longest, len(pieces) - at), 0, -1):
            found = words.get(tuple(pieces[at : at + count]))
            if found is not None or count == 1:
                out.append(pieces[at] if found is None else found)
                at += count
                break
    return tuple(out)
