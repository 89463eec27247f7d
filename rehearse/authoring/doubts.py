"""What in an imported text a person must decide; nothing is decided here."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.authoring.words import SignWords, first_found
from rehearse.book.faults import shown

FACTS = 2  # that one step should hold at most
_QUOTED = re.compile(r"[\"“„](?P<text>[^\"“”„]{2,})[\"”]|(?<!\w)'(?P<text2>[^']{4,})'(?!\w)")
_PARAGRAPH = re.compile(r"\b\d+\.\d+(\.\d+)*\b")
_JOINT = re.compile(r"[,;:]\s|[.!?]\s+(?=\w)")


@dataclass(frozen=True)
class Doubt:
    """One thing to decide.

    kind: what sort it is; `KINDS` has all of them in words.
    line: in the imported file, from 1. procedure, step: ids; "" where there is none.
    fault, mend: as in every message: what it is, and what to do.
    """

    kind: str
    line: int
    procedure: str
    step: str
    fault: str
    mend: str


# In the order of the report: what each kind is called, as a heading.
KINDS = {
    "left out": "Not taken over as steps",
    "repeated": "Said twice",
    "split": "Cut into several steps, because it was too long",
    "command": "Shouted words?",
    "critical": "Critical?",
    "note": "Remarks: a reason, a step, or nothing?",
    "facts": "More than two facts in one step",
    "condition": "Conditions",
    "number": "Numbers that must be exact",
    "reference": "Words that point elsewhere and cannot be said from memory",
    "lists": "Several lists under one heading",
    "name": "Names that were taken already",
    "prose": "Text that stands outside lists",
    "cells": "Cells to look at",
}


def capitals(text: str) -> bool:
    """Whether the whole text is in capitals, with at least two words or an exclamation mark."""
    letters = [char for char in text if char.isalpha()]
    upper = bool(letters) and text.upper() == text and text.lower() != text
    return upper and (len(text.split()) > 1 or "!" in text)


def quoted(text: str) -> tuple[str, bool]:
    """The words in quotation marks, "" when there are none, and whether they are all there is."""
    found = _QUOTED.search(text)
    if found is None:
        return "", False
    inside = (found["text"] or found["text2"]).strip()
    outside = text[: found.start()] + text[found.end() :]
    return inside, not any(char.isalnum() for char in outside)


def of_sentence(
    text: str, line: int, procedure: str, step: str, words: SignWords
) -> Iterator[Doubt]:
    """What is to be decided about one sentence that became a step."""

    def doubt(kind: str, fault: str, mend: str) -> Doubt:
        return Doubt(kind, line, procedure, step, fault, mend)

    sign = first_found(text, words.critical)
    if sign:
        mend = "write 'critical: true' with a reason if it must never be credited unsaid"
        yield doubt("critical", f"it says '{sign}'", mend)
    facts = _facts(text, words)
    if facts > FACTS:
        mend = "split it into steps of one or two facts each"
        yield doubt("facts", f"it may hold {facts} facts", mend)
    condition = first_found(text, words.conditions)
    if condition:
        mend = "keep it when it is said aloud; else move it to the title or another procedure"
        yield doubt("condition", f"it depends on something ('{condition}')", mend)
    number = re.search(r"\d+", text)
    figure = number[0] if number else first_found(text, words.numbers)
    if figure:
        mend = "check it; spelt out it is said as it is read"
        yield doubt("number", f"it holds a number ('{figure}')", mend)
    dotted = _PARAGRAPH.search(text)
    pointer = dotted[0] if dotted else first_found(text, words.references)
    if pointer:
        mend = "write out what is meant"
        yield doubt("reference", f"it may point elsewhere ('{pointer}')", mend)
    yield from _shouted(text, line, procedure, step, words)


def _shouted(text: str, line: int, procedure: str, step: str, words: SignWords) -> Iterator[Doubt]:
    """Shouted words that share their sentence with others; a whole one is proposed elsewhere."""
    inside, alone = quoted(text)
    if alone or capitals(text):
        return
    if inside:
        fault = f"{shown(inside)} stands in quotation marks inside it"
    elif re.search(r"\b[A-Z]{2,}[ ,!][ A-Z,]*[A-Z]{2,}!", text):
        fault = "capitals stand inside it"
    elif first_found(text, words.shouts) and "!" in text:
        fault = "it leads in shouted words"
    else:
        return
    mend = "if they are shouted, make them a step of their own with 'command: true'"
    yield Doubt("command", line, procedure, step, fault, mend)


def _facts(text: str, words: SignWords) -> int:
    """How many facts a sentence may hold: one more than its joints and inner stops."""
    stripped = text.rstrip(".!? ")
    joints = len(_JOINT.findall(stripped))
    lower = stripped.lower()
    for word in words.joints:
        joints += len(re.findall(rf"(?<![,;] )\b{re.escape(word)}\b", lower))
    return joints + 1
