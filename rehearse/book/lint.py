"""Advice on a procedure that reads well but will be heard or judged badly; needs no sound."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from itertools import combinations
from pathlib import Path

from rehearse.book.faults import START, Mark, shown
from rehearse.book.model import Procedure, Step
from rehearse.book.reader import Located, locate
from rehearse.book.relations import plain
from rehearse.errors import BookError, Problem
from rehearse.language import Language, load

BREATH = 12  # words; a shouted command longer than that is broken off for air
LONG = 22  # words; a sentence longer than that holds more facts than a trainee says at once
ALIKE = 0.8  # share of words in common, in the same order, from which two sentences get confused
FAST = 4.0  # words a second; hardly anyone recites faster


@dataclass(frozen=True)
class _Advice:
    """One remark; `field` is named as the reader names fields."""

    field: str
    fault: str
    mend: str


def lint(procedure: Procedure) -> list[Problem]:
    """What is worth mending although the file is valid, in file order. Empty when nothing is.

    Places come from the file the procedure was read from; without one they are line 1, column 1.

    Raises:
        RehearseError: the procedure's language is not built in.
    """
    language = load(procedure.language).added(procedure.words)
    places = _places(procedure)
    advice = [
        *_sentences(procedure, language),
        *_pairs(procedure, language),
        *_forbidden(procedure, language),
        *_order(procedure),
        *_passing(procedure),
    ]
    path = procedure.path or Path(procedure.id)
    return sorted(
        Problem(path, mark.line, mark.column, item.field, item.fault, item.mend)
        for item in advice
        for mark in [places.place(item.field)]
    )


def _places(procedure: Procedure) -> Located:
    """Where the fields stand. A file that changed meanwhile gives its own places, or none."""
    nowhere: Mapping[str, Mark] = {"": START}
    try:
        return Located(procedure, nowhere) if procedure.path is None else locate(procedure.path)
    except BookError:
        return Located(procedure, nowhere)


def _words(text: str) -> list[str]:
    return plain(text).split()


def _sentences(procedure: Procedure, language: Language) -> Iterator[_Advice]:
    """Each step by itself: its length, its reason, whether it can be told from its opposite."""
    for step in procedure.steps:
        field = f"steps[{step.id}]"
        words = len(_words(step.say))
        if step.command and words > BREATH:
            fault = f"the command has {words} words, more than a breath"
            yield _Advice(f"{field}.say", fault, f"shorten it to {BREATH} words or fewer")
        if not step.command and words > LONG:
            mend = "split it into two steps of one or two facts each"
            yield _Advice(f"{field}.say", f"the sentence has {words} words", mend)
        if step.critical and not step.reason:
            mend = "add 'reason: ...', one sentence that says what happens otherwise"
            yield _Advice(field, "the step is critical and gives no reason", mend)
        if step.critical and not step.never and not language.contrasts(step.say):
            fault = "the step is critical but names no state, side, number or direction"
            mend = "name what must be exact, or list under 'never' what must not be said"
            yield _Advice(f"{field}.say", fault, mend)
        yield from _wordings(step, field, language)


def _wordings(step: Step, field: str, language: Language) -> Iterator[_Advice]:
    """The other wordings of one step: new, long enough, and no looser than the sentence."""
    exact = step.critical and bool(language.contrasts(step.say))
    known = {plain(step.say)}
    for number, text in enumerate(step.also, start=1):
        place = f"{field}.also[{number}]"
        if plain(text) in known:
            yield _Advice(place, "the step has this wording already", "take it out")
        if len(_words(text)) < 2:
            fault = f"{shown(text)} is one word, which noise or chatter can sound like"
            yield _Advice(place, fault, "add the object or the state")
        if exact and not language.contrasts(text):
            fault = "this wording leaves out what the critical step must name exactly"
            yield _Advice(place, fault, "add the state, side, number or direction")
        known.add(plain(text))


def _pairs(procedure: Procedure, language: Language) -> Iterator[_Advice]:
    """Steps that can be taken for one another."""
    for one, other in combinations(procedure.steps, 2):
        place = f"steps[{other.id}].say"
        opposite = plain(other.say) in {plain(text) for text in language.contrasts(one.say)}
        if opposite:
            fault = f"it differs from step '{one.id}' in one word or number only"
            yield _Advice(
                place, fault, "add what else is different, so that a slip cannot swap them"
            )
        elif _alike(one.say, other.say):
            fault = f"it has almost the same words as step '{one.id}'"
            yield _Advice(place, fault, "word the two steps differently, or join them")
        accepted = {plain(text) for text in one.wordings}
        for number, text in enumerate(other.also, start=1):
            if plain(text) in accepted:
                fault = f"step '{one.id}' accepts the same words"
                yield _Advice(f"steps[{other.id}].also[{number}]", fault, "keep it in one of them")


def _forbidden(procedure: Procedure, language: Language) -> Iterator[_Advice]:
    """Forbidden statements that nearly are, or could be taken for, what a step asks for."""
    for step in procedure.steps:
        for number, text in enumerate(step.never, start=1):
            place = f"steps[{step.id}].never[{number}]"
            if len(_words(text)) < 2:
                fault = f"{shown(text)} is one word, which noise or chatter can sound like"
                yield _Advice(place, fault, "write the whole statement")
            for other in procedure.steps:
                close = [
                    wording for wording in other.wordings if _confusable(text, wording, language)
                ]
                if close:
                    fault = f"it is almost what step '{other.id}' accepts"
                    yield _Advice(place, fault, "make the difference a clear opposite")


def _confusable(never: str, wording: str, language: Language) -> bool:
    """Alike, and not told apart by a contrast that the language knows."""
    if not _alike(never, wording):
        return False
    different = set(_words(never)) ^ set(_words(wording))
    return different.isdisjoint(_slots(never, language) | _slots(wording, language))


def _slots(text: str, language: Language) -> set[str]:
    """The words of the text that carry a state, side, number or direction."""
    words = text.split()
    return {
        part
        for flip in language.flips(words)
        for word in words[flip.first : flip.first + flip.count]
        for part in _words(word)
    }


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, _words(one), _words(other), autojunk=False).ratio() >= ALIKE


def _order(procedure: Procedure) -> Iterator[_Advice]:
    """`after` entries that change nothing or read against the file's order."""
    before = procedure.predecessors
    rows = {step.id: row for row, step in enumerate(procedure.steps)}
    for row, step in enumerate(procedure.steps):
        if step.after is None:
            continue
        place = f"steps[{step.id}].after"
        usual = replace(step, after=None)
        steps = (*procedure.steps[:row], usual, *procedure.steps[row + 1 :])
        said_for_clarity = step.after == (procedure.steps[row - 1].id,)
        if not said_for_clarity and replace(procedure, steps=steps).predecessors == before:
            yield _Advice(place, "the order is the same without it", "take the line out")
            continue
        for number, name in enumerate(step.after, start=1):
            if rows[name] > row:
                fault = f"the step follows '{name}', which stands below it"
                yield _Advice(f"{place}[{number}]", fault, f"move the step below '{name}'")
            by_others = [other for other in step.after if name in before[other]]
            if by_others:
                fault = f"'{by_others[0]}' follows '{name}' already"
                yield _Advice(f"{place}[{number}]", fault, f"take '{name}' out")


def _passing(procedure: Procedure) -> Iterator[_Advice]:
    """Rules of passing that decide nothing or cannot be met."""
    rule = procedure.pass_rule
    steps = len(procedure.steps)
    critical = sum(step.critical for step in procedure.steps)
    needed = rule.least(steps)
    decisive = critical if rule.critical == "all" else 0
    if decisive == 0 and needed == 0:
        mend = "raise the share, or mark the steps that matter 'critical: true'"
        yield _Advice("pass", "every take passes, even an empty one", mend)
    elif 0 < needed <= decisive:
        fault = f"the share asks for {needed} of {steps} steps, and {critical} are critical anyway"
        yield _Advice("pass.share", fault, f"raise it above {critical / steps:.2f} or take it out")
    if rule.critical == "all" and critical == 0:
        mend = "mark the steps that matter 'critical: true', or write 'critical: none'"
        yield _Advice("pass.critical", "no step is critical", mend)
    if rule.critical == "none" and critical > 0:
        fault = f"{critical} critical steps may be left out and the take still passes"
        yield _Advice("pass.critical", fault, "write 'critical: all'")
    words = sum(len(_words(step.say)) for step in procedure.steps)
    if rule.within is not None and words / FAST > rule.within:
        fault = f"{words} words cannot be said in {rule.within:g} seconds"
        yield _Advice("pass.within", fault, f"allow at least {math.ceil(words / FAST)} seconds")
