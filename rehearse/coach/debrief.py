"""The closing debrief: what was left out or wrong, most important first, in twenty seconds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.book.model import Procedure, Step
from rehearse.coach.pace import DEBRIEF_SECONDS, WORDS_PER_MINUTE
from rehearse.coach.phrasebook import Phrasebook
from rehearse.coach.progress import all_said, told_as_step
from rehearse.coach.wording import first_words, sentence
from rehearse.judge.verdict import Result, StepResult, Verdict

# How long the tool's own voice takes, fitted by least squares to 350 of its renderings of example
# steps, debriefs and prompts; of those over eight seconds every one is within 11 % of the fit,
# hence the margin. tests/speak/test_length.py holds it against the voice. Digits count as a word
# of four letters.
_PER_WORD, _PER_LETTER = 0.075, 0.165  # of the mean length of a word at the rate
_PER_STOP, _PER_COMMA, _ONCE = 0.41, 0.21, 0.1  # seconds
_MARGIN = 1.12


def speaking_seconds(text: str, words_per_minute: int = WORDS_PER_MINUTE) -> float:
    """How long the text takes to say at this rate, in seconds; rather too long than too short."""
    words = re.findall(r"[^\W\d_]+|\d", text)
    letters = sum(4 if word.isdigit() else len(word) for word in words)
    lengths = _PER_WORD * len(words) + _PER_LETTER * letters
    stops = len(re.findall(r"[.!?:;](?=\s|$)", text))
    breaks = _PER_STOP * stops + _PER_COMMA * text.count(",")
    return _MARGIN * (lengths * 60.0 / words_per_minute + breaks + _ONCE)


@dataclass(frozen=True)
class _Point:
    """One thing to work on: a rank (lower is more important) and two ways to say it."""

    rank: int
    full: str
    short: str


def debrief(
    procedure: Procedure,
    result: Result,
    book: Phrasebook,
    *,
    words_per_minute: int = WORDS_PER_MINUTE,
    seconds: float = DEBRIEF_SECONDS,
) -> str:
    """The debrief as one text to speak, no longer than `seconds` at the voice's rate.

    When not everything fits, points are first told shortly, then the least important are left
    out and their number is said.
    """
    points = sorted(_points(procedure, result, book), key=lambda point: point.rank)
    opening = _opening(procedure, result, book)
    for kept in range(len(points), -1, -1):
        for told in _told(points[:kept], book):
            dropped = len(points) - kept
            more = [book.text("debrief.more", count=dropped)] if dropped else []
            text = " ".join([opening, *told, *more])
            if speaking_seconds(text, words_per_minute) <= seconds:
                return text
    return opening


def _told(points: list[_Point], book: Phrasebook) -> Iterator[list[str]]:
    """The points as sentences, in full and then shortly."""
    for texts in ([point.full for point in points], [point.short for point in points]):
        if len(texts) < 2:
            yield texts
            continue
        first = book.text("debrief.first", point=texts[0])
        yield [first, *(book.text("debrief.then", point=text) for text in texts[1:])]


def _opening(procedure: Procedure, result: Result, book: Phrasebook) -> str:
    steps = book.text("steps", count=len(procedure.steps))
    said = sum(step.verdict is Verdict.SAID for step in result.steps)
    if all_said(result):
        dangerous = any(extra.dangerous for extra in result.extras)
        name = "all_said" if result.passed and not dangerous else "all_said_failed"
        return book.text(f"debrief.{name}", steps=steps)
    if all(step.verdict is Verdict.NOT_SAID for step in result.steps):
        return book.text("debrief.none_said", steps=steps)
    return book.text("debrief.some_said", said=said, steps=steps)


def _points(procedure: Procedure, result: Result, book: Phrasebook) -> Iterator[_Point]:
    """Everything to work on, steps in the procedure's order.

    What could hurt somebody comes first: a forbidden action, a critical step that was wrong, a
    critical step that was left out; then the same of other steps; order and unclear ones last.
    """
    for extra in result.extras:
        if extra.dangerous and not told_as_step(extra, result):
            yield _Point(0, sentence(extra.why), book.text("debrief.forbidden"))
    for step in procedure.steps:
        found = result.step(step.id)
        if found.verdict is not Verdict.SAID:
            full, short = _explained(step, found, book)
            yield _Point(_rank(step, found.verdict), sentence(full), sentence(short))


def _rank(step: Step, verdict: Verdict) -> int:
    ranks = {
        Verdict.WRONG: 1,
        Verdict.NOT_SAID: 2,
        Verdict.INCOMPLETE: 2,
        Verdict.UNCLEAR: 3,
        Verdict.OUT_OF_ORDER: 4,
    }
    return ranks[verdict] + (0 if step.critical else 10)


def _explained(step: Step, found: StepResult, book: Phrasebook) -> tuple[str, str]:
    """What to say of a step that is not right: in full, and shortly."""
    brief = first_words(step.say, 5)
    match found.verdict:
        case Verdict.WRONG:
            return found.why, book.text("debrief.wrong", step=brief)
        case Verdict.INCOMPLETE if found.missing:
            missing = re.sub(r"[^\w'’]+$", "", found.missing)
            return book.text("debrief.missing", missing=missing), _part(brief, book)
        case Verdict.INCOMPLETE:
            return _part(step.say, book), _part(brief, book)
        case Verdict.UNCLEAR:
            name = "debrief.unclear"
        case Verdict.OUT_OF_ORDER:
            name = "debrief.order"
        case _:
            name = "debrief.left_out"
    return book.text(name, step=step.say), book.text(name, step=brief)


def _part(step: str, book: Phrasebook) -> str:
    return book.text("debrief.left_out_part", step=step)
