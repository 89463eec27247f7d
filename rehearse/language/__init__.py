"""What a language needs to be heard and judged: words, numbers, contrasts, spellings.

Nothing outside this folder assumes English. `load("en")` gives the language; its words, contrast
sets and synonyms are data (`en.yaml`), which an operator can add to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from rehearse.language.additions import Additions


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
    """The language-bound knowledge that hearing needs."""

    code: str

    def flips(self, words: Sequence[str]) -> tuple[Flip, ...]:
        """Every slot among the printed words (punctuation and case allowed), each flipped."""
        ...

    def contrasts(self, sentence: str) -> tuple[str, ...]:
        """The sentences that differ from this one in exactly one slot: what it must not be."""
        ...

    def spellings(self, sentence: str) -> tuple[str, ...]:
        """The sentence as a recogniser might print it ("2L", "two left"), itself first."""
        ...

    def added(self, additions: Additions) -> Language:
        """The language with an operator's own words, in place of any that were added before."""
        ...


def load(code: str) -> Language:
    """The language with this ISO 639-1 code.

    Raises:
        rehearse.errors.RehearseError: no such language is built in.
    """
    from rehearse.errors import RehearseError

    if code == "en":
        from rehearse.language.english import English

        return English()
    raise RehearseError(f"language '{code}' is not known; write 'language: en' in the procedure")
