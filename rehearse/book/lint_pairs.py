"""Advice on steps and statements that can be taken for one another by their words."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import SequenceMatcher
from itertools import combinations

from rehearse.book.advice import Advice
from rehearse.book.faults import shown
from rehearse.book.lint_steps import words_of
from rehearse.book.model import Procedure
from rehearse.book.relations import plain
from rehearse.language import Language

ALIKE = 0.8  # share of words in common, in the same order, from which two sentences get confused


def advice(procedure: Procedure, language: Language) -> Iterator[Advice]:
    """Steps that can be taken for one another, and forbidden statements for what is asked."""
    yield from _pairs(procedure, language)
    yield from _forbidden(procedure, language)


def _pairs(procedure: Procedure, language: Language) -> Iterator[Advice]:
    """Steps that can be taken for one another."""
    for one, other in combinations(procedure.steps, 2):
        place = f"steps[{other.id}].say"
        opposite = plain(other.say) in {plain(text) for text in language.contrasts(one.say)}
        if opposite:
            fault = f"it differs from step '{one.id}' in one word or number only"
            mend = "add what else is different, so that a slip cannot swap them"
            yield Advice("steps-opposite", place, fault, mend)
        elif _alike(one.say, other.say):
            fault = f"it has almost the same words as step '{one.id}'"
            yield Advice(
                "steps-alike", place, fault, "word the two steps differently, or join them"
            )
        accepted = {plain(text) for text in one.wordings}
        for number, text in enumerate(other.also, start=1):
            if plain(text) in accepted:
                fault = f"step '{one.id}' accepts the same words"
                yield Advice(
                    "also-twice",
                    f"steps[{other.id}].also[{number}]",
                    fault,
                    "keep it in one of them",
                )


def _forbidden(procedure: Procedure, language: Language) -> Iterator[Advice]:
    """Forbidden statements that nearly are, or could be taken for, what a step asks for."""
    for step in procedure.steps:
        for number, text in enumerate(step.never, start=1):
            place = f"steps[{step.id}].never[{number}]"
            if len(words_of(text)) < 2:
                fault = f"{shown(text)} is one word, which noise or chatter can sound like"
                yield Advice("one-word", place, fault, "write the whole statement")
            for other in procedure.steps:
                close = [
                    wording for wording in other.wordings if _confusable(text, wording, language)
                ]
                if close:
                    fault = f"it is almost what step '{other.id}' accepts"
                    yield Advice(
                        "never-close", place, fault, "make the difference a clear opposite"
                    )


def _confusable(never: str, wording: str, language: Language) -> bool:
    """Alike, and not told apart by a contrast that the language knows."""
    if not _alike(never, wording):
        return False
    different = set(words_of(never)) ^ set(words_of(wording))
    return different.isdisjoint(_slots(never, language) | _slots(wording, language))


def _slots(text: str, language: Language) -> set[str]:
    """The words of the text that carry a state, side, number or direction."""
    words = text.split()
    return {
        part
        for flip in language.flips(words)
        for word in words[flip.first : flip.first + flip.count]
        for part in words_of(word)
    }


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, words_of(one), words_of(other), autojunk=False).ratio() >= ALIKE
