"""A saying that names by a pronoun the one thing that the step is about ("it's still disarmed")."""

from __future__ import annotations

from rehearse.judge.prepared import PUNCTUATION, Wording
from rehearse.judge.speech import Span
from rehearse.judge.terms import found, term
from rehearse.language import Language

OTHERS = 3  # further key terms of the step that must all be there before a pronoun is understood


def named(wording: Wording, span: Span, language: Language) -> str | None:
    """The words of the span with the step's own noun in the place of its pronoun.

    None where no pronoun stands for it: another key term is missing too, few are there, another
    thing is named, or the missing one is no thing that the wording calls by its article.
    """
    lexicon = language.lexicon
    pronouns = {**lexicon.stand_ins, **lexicon.crew_stand_ins}
    words = span.text.lower().split()
    at = next((i for i, word in enumerate(words) if word in pronouns), None)
    if at is None:
        return None
    hit = found(wording.terms, span.tokens, language)
    missing = set(wording.terms.weights) - hit
    said = {name for token in span.tokens if (name := term(token, language)) is not None}
    if len(missing) != 1 or len(hit) < OTHERS or not said <= hit:
        return None
    (name,) = missing
    thing = _called(wording, name, language)
    of_the_craft = words[at] in lexicon.crew_stand_ins
    if thing is None or (of_the_craft and name not in lexicon.crafts):
        return None
    return " ".join([*words[:at], thing, *pronouns[words[at]].split(), *words[at + 1 :]])


def _called(wording: Wording, name: str, language: Language) -> str | None:
    """The term with its article, as the wording prints it ("the door"); None without one."""
    words = [word.strip(PUNCTUATION).lower() for word in wording.text.split()]
    for token in wording.tokens:
        if token.first and term(token, language) == name:
            article = words[token.first - 1]
            if article in language.lexicon.determiners:
                return " ".join([article, *words[token.first : token.end]])
    return None
