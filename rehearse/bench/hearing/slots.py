"""Whether the deciding words of a text came through: sides, states, numbers, denials, directions.

A slot of the text is right in what was heard when the text is nearer to it, token by token, than
the text with that slot turned round; turned round when an opposite is nearer; lost when neither is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz.distance import Levenshtein

from rehearse.events import SlotCheck
from rehearse.language import Flip, Language
from rehearse.language.english import flipped

Outcome = Literal["right", "turned", "lost"]


@dataclass(frozen=True)
class Slot:
    """One slot of what was said, as it was heard.

    read: the same in the recogniser's free reading, before anything was mended or flipped.
    margin: nats of the flip test that what was heard was put to; None when there was none.
    """

    outcome: Outcome
    read: Outcome
    margin: float | None = None


def slots(
    text: str, heard: str, free: str, checks: Sequence[SlotCheck] | None, language: Language
) -> tuple[Slot, ...]:
    """Every slot of the text, beside what was heard and read freely."""
    words = text.split()
    by_place: dict[tuple[int, int], list[Flip]] = {}
    for flip in language.flips(words):
        by_place.setdefault((flip.first, flip.count), []).append(flip)
    said = folded(text, language)
    hearings = folded(heard, language), folded(free, language)
    found = []
    for (first, count), flips in by_place.items():
        turned = [folded(flipped(words, flip), language) for flip in flips]
        outcome, read = (_outcome(said, turned, hearing) for hearing in hearings)
        values = [" ".join(words[first : first + count])]
        if outcome == "turned":
            values = [flip.replacement for flip in flips]
        margins = list(_margins(values, checks or (), language)) if outcome != "lost" else []
        found.append(Slot(outcome, read, min(margins, default=None)))
    return tuple(found)


def _outcome(said: Sequence[str], turned: Sequence[Sequence[str]], heard: Sequence[str]) -> Outcome:
    if not heard:
        return "lost"
    own = Levenshtein.distance(said, heard)
    nearest = min(Levenshtein.distance(other, heard) for other in turned)
    if own == nearest:
        return "lost"
    return "right" if own < nearest else "turned"


def _margins(
    values: Sequence[str], checks: Sequence[SlotCheck], language: Language
) -> Iterator[float]:
    """The margins of the flip tests of these values."""
    wanted = {folded(value, language) for value in values}
    for check in checks:
        if folded(check.heard, language) in wanted:
            yield check.margin


def folded(text: str, language: Language) -> tuple[str, ...]:
    """The tokens of a text, those of one dictionary form or one sound alike."""
    lexicon = language.lexicon
    forms = []
    for token in language.tokens(text.split()):
        alike = lexicon.homophones.get(token.form)
        if token.kind != "word":
            forms.append(token.form)
        elif alike:
            forms.append(f"sound {min(alike)}")
        else:
            forms.append(lexicon.words.lemma(token.form))
    return tuple(forms)


def exact(text: str, heard: str, language: Language) -> bool:
    """Whether every word came through; spelling, case and punctuation take no part."""
    forms = ([token.form for token in language.tokens(t.split())] for t in (text, heard))
    said, got = forms
    return said == got
