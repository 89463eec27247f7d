"""What a language offers to hearing and judging, whichever language it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, Self

from rehearse.language.additions import Additions
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token


@dataclass(frozen=True)
class Flip:
    """One slot of a sentence turned into a dangerous opposite.

    `first` and `count` are the words of the given sentence that carry the slot; `replacement` is
    what they become ("" when they are taken out, as "do not" is; `count` 0 when words come in).
    """

    first: int
    count: int
    replacement: str


class Language(Protocol):
    """The language-bound knowledge that hearing and judging need."""

    @property
    def code(self) -> str:
        """Its ISO 639-1 code."""
        ...

    @property
    def read_by_models(self) -> bool:
        """Whether the step judges read it; else it is judged by its words alone."""
        ...

    @property
    def joins_words(self) -> bool:
        """Whether small words are written on to others, as Korean's particles are to nouns."""
        ...

    @property
    def freely_heard(self) -> bool:
        """Whether speech is heard well without a closed list of what may be said."""
        ...

    @property
    def denies_behind(self) -> bool:
        """Whether a denial stands behind what it denies, at the end of the clause."""
        ...

    @property
    def lexicon(self) -> Lexicon:
        """Its word data, an operator's laid over it."""
        ...

    @property
    def literal(self) -> Self:
        """The same without an operator's synonyms, for commands, judged word by word."""
        ...

    @property
    def rewrites(self) -> bool:
        """Whether an operator's own words are read as others."""
        ...

    def added(self, additions: Additions) -> Self:
        """The language with an operator's own words, in place of any that were added before."""
        ...

    def expanded(self, text: str) -> str:
        """The text with an operator's own words written as those the judge knows."""
        ...

    def claims(self, words: Sequence[str]) -> bool:
        """Whether the sentence may claim anything, by the form of its words.

        False for a question, a fancy and what was left undone, where the language marks these on a
        word.
        """
        ...

    def tokens(self, words: Sequence[str]) -> tuple[Token, ...]:
        """Printed words (any case and punctuation) as normalised tokens, negation marked."""
        ...

    def flips(self, words: Sequence[str]) -> tuple[Flip, ...]:
        """Every slot among the printed words (punctuation and case allowed), each flipped."""
        ...

    def contrasts(self, sentence: str) -> tuple[str, ...]:
        """The sentences that differ from this one in exactly one slot: what it must not be."""
        ...

    def spellings(self, sentence: str) -> tuple[str, ...]:
        """The sentence as a recogniser might print it ("2L", "two left"), itself first."""
        ...

    def spoken(self, text: str) -> str:
        """The text as a person says it: "2L" is "two left", "10" is "ten"."""
        ...
