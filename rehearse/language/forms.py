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
    gerund_of: the verbs that a word may be the gerund of; none when it is no gerund.
    may_be_participle: whether the form of a word is that of a participle.
    skeleton: what is heard of a word, in a rough common spelling; never empty.
    muffled: a skeleton without what a noisy line loses first.
    slurred: a skeleton without what many an accent loses ("disarmed" is read as "the sound").
    """

    lemma: Callable[[str], str]
    spelt: Callable[[int], str]
    numbers: frozenset[str]
    gerund_of: Callable[[str], frozenset[str]]
    may_be_participle: Callable[[str], bool]
    skeleton: Callable[[str], str]
    muffled: Callable[[str], str]
    slurred: Callable[[str], str]
