"""Polarity: whether a saying denies what a step affirms, or the other way round."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.language.english import English, lemma
from rehearse.language.token import Token


def denied(step: Sequence[Token], said: Sequence[Token], language: English) -> bool:
    """Whether some content word of the step stands under a "not" in one of the two only.

    It asks for a closer look, no more: "do not close it until ..." and "close it after ..." are
    one step said two ways.
    """
    step_words, said_words = _content(step, language), _content(said, language)
    for word, negated in step_words.items():
        if word in said_words and said_words[word] != negated:
            return True
    return False


def _content(tokens: Sequence[Token], language: English) -> dict[str, bool]:
    """Each content word with whether all its mentions are negated."""
    words: dict[str, bool] = {}
    for token in tokens:
        if token.kind == "word" and token.form not in language.lexicon.stop_words:
            if token.form in language.lexicon.negations:
                continue
            word = lemma(token.form)
            words[word] = words.get(word, True) and token.negated
    return words
