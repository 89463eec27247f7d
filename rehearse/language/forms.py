"""How the words of a language come down to their base, as values that its lexicon carries."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class WordForms:
    """What a language does with single words.

    lemma: a lower-case word form to its dictionary form.
    spelt: a whole number to the words that say it.
    numbers: words that say a number by themselves.
    """

    lemma: Callable[[str], str]
    spelt: Callable[[int], str]
    numbers: frozenset[str]
