"""Key terms: which words of a step were said, and the narrowest stretch that says most of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from rehearse.language import Language
from rehearse.language.token import Token

LIKE = 0.8  # likeness of spelling at which one word may be a misprint of another
LIKE_FROM = 5  # letters a word needs before a likeness counts


@dataclass(frozen=True)
class Terms:
    """The key terms of one wording, each with its weight (rare in the procedure weighs more)."""

    weights: Mapping[str, float]
    printed: Mapping[str, str]

    @property
    def total(self) -> float:
        """The sum of all weights."""
        return sum(self.weights.values())


def term(token: Token, language: Language) -> str | None:
    """The key term a token stands for: its lemma, or the head of its synonyms; None for none."""
    if token.kind != "word":
        return token.form
    if token.form in language.lexicon.stop_words:
        return None
    base = language.lexicon.words.lemma(token.form)
    return language.lexicon.synonyms.get(base, language.lexicon.synonyms.get(token.form, base))


def terms_of(wording: str, rarity: Mapping[str, float], language: Language) -> Terms:
    """The key terms of a wording."""
    words = wording.split()
    weights: dict[str, float] = {}
    printed: dict[str, str] = {}
    for token in language.tokens(words):
        name = term(token, language)
        if name is not None:
            weights.setdefault(name, rarity.get(name, 1.0))
            printed.setdefault(name, " ".join(words[token.first : token.end]).strip(".,!?;:"))
    return Terms(weights, printed)


def rarities(wordings: Iterable[Sequence[str]], language: Language) -> dict[str, float]:
    """For each term 1 / sqrt(number of steps it occurs in); `wordings` holds each step's."""
    counts: dict[str, int] = {}
    for step in wordings:
        seen = {term(token, language) for text in step for token in language.tokens(text.split())}
        for name in seen - {None}:
            counts[str(name)] = counts.get(str(name), 0) + 1
    return {name: 1 / count**0.5 for name, count in counts.items()}


def found(terms: Terms, tokens: Sequence[Token], language: Language) -> frozenset[str]:
    """The key terms among the tokens, misprints of long words included."""
    said = {name for token in tokens if (name := term(token, language)) is not None}
    hit = said & set(terms.weights)
    for name in set(terms.weights) - hit:
        if len(name) >= LIKE_FROM and any(like(name, other) for other in said):
            hit.add(name)
    return frozenset(hit)


def like(one: str, other: str) -> bool:
    """Whether two words are spelt nearly alike."""
    return Levenshtein.normalized_similarity(one, other) >= LIKE


def coverage(terms: Terms, tokens: Sequence[Token], language: Language) -> float:
    """Share of the key terms' weight that was said, 0..1; to the last bit the same on every run."""
    hit = found(terms, tokens, language)
    said = sum(weight for name, weight in terms.weights.items() if name in hit)
    return said / terms.total if terms.total else 0.0
