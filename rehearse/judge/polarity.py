"""Polarity: whether a saying denies what a step affirms, or only asks or imagines it."""

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


def denied_outright(step: Sequence[Token], said: Sequence[Token], language: English) -> bool:
    """Whether the saying forbids or denies an affirmed step as a whole.

    Either its first words are a "not" or "never" that governs the step's own verb, or every word of
    the step that was said stands under one. "Until", "before" and their like turn a negation round
    ("never open it before ..."), and a step that is negated itself is another matter: both are left
    to the readers.
    """
    own = {token.form for token in step}
    if any(token.form in TURNING and token.form not in own for token in said):
        return False
    if _opens_with_denial(step, said) and not own & DENIALS:
        return True
    wanted, got = _content(step, language), _content(said, language)
    if any(wanted.values()) or any(token.form in NOBODY for token in said):
        return False
    shared = [word for word in wanted if word in got]
    return len(shared) >= SHARED and all(got[word] for word in shared)


def _opens_with_denial(step: Sequence[Token], said: Sequence[Token]) -> bool:
    """Whether the saying opens with "never", "do not" ... and then a verb of the step."""
    verbs = {lemma(token.form) for token in step}
    for at, token in enumerate(said[:OPENING]):
        if token.form in DENIALS:
            after = [t for t in said[at + 1 : at + 3] if t.form != "to"]
            return bool(after) and lemma(after[0].form) in verbs
    return False


def asks(step: Sequence[Token], said: Sequence[Token], language: English) -> bool:
    """Whether the saying opens as a question or a fancy, unanswered, and the step does not."""
    own = {token.form for token in step}
    if any(t.form in ANSWERS - own for t in said) or (step and step[0].form == "if"):
        return False
    return _opens(said, language) and not _opens(step, language)


def _opens(tokens: Sequence[Token], language: English) -> bool:
    forms = tuple(token.form for token in tokens)
    return any(forms[: len(start)] == start for start in language.lexicon.hypotheticals)


SHARED = 2  # words of the step that must be there before their negation says anything
TURNING = frozenset({"until", "till", "before", "unless", "only", "without", "than", "except"})
NOBODY = frozenset({"nobody", "none", "nothing", "no", "neither", "nor"})
DENIALS = frozenset({"not", "never", "hardly", "forgot", "forgotten"})
OPENING = 4  # tokens within which a denial opens a saying
ANSWERS = frozenset({"yes", "no", "yeah"})


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
