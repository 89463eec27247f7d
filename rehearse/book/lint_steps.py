"""Advice on each step by itself: its length, its reason, its wordings, what it leaves open."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rehearse.book.advice import Advice
from rehearse.book.faults import shown
from rehearse.book.model import Procedure, Step
from rehearse.book.relations import plain
from rehearse.book.starter_text import PLACEHOLDERS
from rehearse.language import Language

BREATH = 8  # words shouted without a stop; about four seconds, then air is needed
SHOUT = 12  # words of a whole command; more is not remembered word for word
LONG = 22  # words; a sentence longer than that holds more facts than a trainee says at once
_STOP = re.compile(r"[.!?]+")


def words_of(text: str) -> list[str]:
    """The words of a text as they sound."""
    return plain(text).split()


def advice(procedure: Procedure, language: Language) -> Iterator[Advice]:
    """What is worth mending in each step by itself."""
    if procedure.revision.source in PLACEHOLDERS:
        fault, mend = "this still stands as in the starter file", "name the manual and paragraph"
        yield Advice("placeholder", "revision.source", fault, mend)
    for step in procedure.steps:
        field = f"steps[{step.id}]"
        words = len(words_of(step.say))
        if step.say in PLACEHOLDERS:
            fault, mend = "this still stands as in the starter file", "write what is to be said"
            yield Advice("placeholder", f"{field}.say", fault, mend)
        if step.command:
            yield from breath(step, f"{field}.say")
        if not step.command and words > LONG:
            mend = "split it into two steps of one or two facts each"
            yield Advice("long-sentence", f"{field}.say", f"the sentence has {words} words", mend)
        if step.critical and not step.reason:
            mend = "add 'reason: ...', one sentence that says what happens otherwise"
            yield Advice("critical-reason", field, "the step is critical and gives no reason", mend)
        if step.critical and not step.never and not language.contrasts(step.say):
            fault = "the step is critical but names no state, side, number or direction"
            mend = "name what must be exact, or list under 'never' what must not be said"
            yield Advice("critical-bare", f"{field}.say", fault, mend)
        yield from _wordings(step, field, language)


def breath(step: Step, field: str) -> Iterator[Advice]:
    """A command that runs out of air, or out of memory."""
    words = len(words_of(step.say))
    longest = max(len(words_of(part)) for part in _STOP.split(step.say))
    if longest > BREATH:
        fault = f"the command has {longest} words without a stop, more than a breath"
        mend = f"part it with '!' into {BREATH} words or fewer"
        yield Advice("long-command", field, fault, mend)
    elif words > SHOUT:
        fault = f"the command has {words} words, more than is shouted alike every time"
        yield Advice("long-command", field, fault, f"shorten it to {SHOUT} words or fewer")


def _wordings(step: Step, field: str, language: Language) -> Iterator[Advice]:
    """The other wordings of one step: new, long enough, and no looser than the sentence."""
    exact = step.critical and bool(language.contrasts(step.say))
    known = {plain(step.say)}
    for number, text in enumerate(step.also, start=1):
        place = f"{field}.also[{number}]"
        if plain(text) in known:
            yield Advice("also-twice", place, "the step has this wording already", "take it out")
        if len(words_of(text)) < 2:
            fault = f"{shown(text)} is one word, which noise or chatter can sound like"
            yield Advice("one-word", place, fault, "add the object or the state")
        if exact and not language.contrasts(text):
            fault = "this wording leaves out what the critical step must name exactly"
            yield Advice("also-loose", place, fault, "add the state, side, number or direction")
        known.add(plain(text))
