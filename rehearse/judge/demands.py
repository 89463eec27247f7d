"""What an author says must be named: whether a saying names it."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.judge.prepared import PreparedStep, Wording
from rehearse.judge.slots import slots
from rehearse.judge.terms import found
from rehearse.judge.wording import said_in
from rehearse.language import Language
from rehearse.language.token import Token


def unnamed(step: PreparedStep, tokens: Sequence[Token], language: Language) -> str:
    """The phrases that the step's author wants named and the tokens do not; "" when none.

    A wording that the author accepts without such a phrase is accepted when it was said as it
    stands.
    """
    lost = [phrase for phrase in step.named if not _names(phrase, tokens, language)]
    if not lost or any(
        said_in(wording, step.wordings, tokens, language)
        for wording in step.wordings
        if not wording.canonical
        and not any(_names(phrase, wording.tokens, language) for phrase in lost)
    ):
        return ""
    return language.lexicon.reasons["joined"].join(phrase.text for phrase in lost)


def _names(phrase: Wording, tokens: Sequence[Token], language: Language) -> bool:
    """Whether the tokens say every slot of the phrase, by any word for it, and its other words."""
    said = {(slot.name, slot.value) for slot in slots(tokens, language.lexicon)}
    if not all((slot.name, slot.value) in said for slot in phrase.slots):
        return False
    by_slot = {i for slot in phrase.slots for i in range(slot.first, slot.first + slot.count)}
    rest = {
        name
        for name, printed in phrase.terms.printed.items()
        if not _carried(printed, phrase, by_slot)
    }
    return rest <= found(phrase.terms, tokens, language)


def _carried(printed: str, phrase: Wording, by_slot: set[int]) -> bool:
    """Whether a printed word of the phrase is part of one of its slots."""
    words = phrase.text.split()
    return any(
        " ".join(words[token.first : token.end]).strip(".,!?;:") == printed
        for at, token in enumerate(phrase.tokens)
        if at in by_slot
    )
