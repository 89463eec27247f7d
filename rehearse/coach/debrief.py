"""The closing debrief: what was left out or wrong, most important first, in twenty seconds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rehearse.book.model import Procedure, Step
from rehearse.coach.pace import DEBRIEF_SECONDS, WORDS_PER_MINUTE
from rehearse.coach.phrasebook import Phrasebook
from rehearse.coach.progress import all_said, told_as_step
from rehearse.coach.wording import brief, first_words, sentence, stretch
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
class _Saying:
    """One way to tell a point: the sentence that leads in ("" for none) and what it is about."""

    lead: str
    about: str


@dataclass(frozen=True)
class _Point:
    """One thing to work on: a rank (lower is more important) and two ways to say it."""

    rank: int
    full: _Saying
    short: _Saying


def debrief(
    procedure: Procedure,
    result: Result,
    book: Phrasebook,
    *,
    words_per_minute: int = WORDS_PER_MINUTE,
    seconds: float = DEBRIEF_SECONDS,
) -> str:
    """The debrief as one text to speak, no longer than `seconds` at the voice's rate.

    When not everything fits, the least important points are told shortly, then left out, and
    their number is said.
    """
    points = sorted(_points(procedure, result, book), key=lambda point: point.rank)
    opening = _opening(procedure, result, book)
    for kept in range(len(points), -1, -1):
        dropped = len(points) - kept
        more = [book.text("debrief.more", count=dropped)] if dropped else []
        fitting = ""
        for in_full in range(kept + 1):
            told = _told(points[:kept], in_full, book)
            text = " ".join([opening, *told, *more])
            if speaking_seconds(text, words_per_minute) > seconds:
                break
            fitting = text
        if fitting:
            return fitting
    return opening


def _told(points: list[_Point], in_full: int, book: Phrasebook) -> list[str]:
    """The points as sentences, so many of them in full and the rest shortly.

    A lead-in that the point before had too is not said again.
    """
    sayings = [p.full if at < in_full else p.short for at, p in enumerate(points)]
    leads = ["", *(saying.lead for saying in sayings)]
    texts = [
        book.text(saying.lead, step=saying.about)
        if saying.lead and saying.lead != before
        else saying.about
        for saying, before in zip(sayings, leads, strict=False)
    ]
    ended = [sentence(text) for text in texts]
    if len(ended) < 2:
        return ended
    first = book.text("debrief.first", point=ended[0])
    return [first, *(book.text("debrief.then", point=text) for text in ended[1:])]


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
            forbidden = _Saying("", book.text("debrief.forbidden"))
            yield _Point(0, _Saying("", extra.why), forbidden)
    for step in procedure.steps:
        found = result.step(step.id)
        if found.verdict is not Verdict.SAID:
            yield _Point(_rank(step, found.verdict), *_explained(step, found))


def _rank(step: Step, verdict: Verdict) -> int:
    ranks = {
        Verdict.WRONG: 1,
        Verdict.NOT_SAID: 2,
        Verdict.INCOMPLETE: 2,
        Verdict.UNCLEAR: 3,
        Verdict.OUT_OF_ORDER: 4,
    }
    return ranks[verdict] + (0 if step.critical else 10)


def _explained(step: Step, found: StepResult) -> tuple[_Saying, _Saying]:
    """How to tell of a step that is not right: in full, and shortly."""
    if found.verdict is Verdict.WRONG:
        return _Saying("", found.why), _Saying("debrief.wrong", first_words(step.say))
    if found.verdict is Verdict.INCOMPLETE and found.missing:
        missing = stretch(step.say, found.missing)
        return _Saying("debrief.left_out", missing), _Saying("debrief.part", brief(step.say))
    lead = {
        Verdict.NOT_SAID: "debrief.left_out",
        Verdict.INCOMPLETE: "debrief.part",
        Verdict.UNCLEAR: "debrief.unclear",
        Verdict.OUT_OF_ORDER: "debrief.order",
    }[found.verdict]
    return _Saying(lead, step.say), _Saying(lead, brief(step.say))
