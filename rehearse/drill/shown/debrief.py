"""The spoken debrief of a drill: two things to keep, one to change, in twenty-five seconds."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rehearse.coach.debrief import speaking_seconds
from rehearse.coach.pace import WORDS_PER_MINUTE
from rehearse.coach.wording import first_words
from rehearse.drill.phrasing import Phrases, phrases
from rehearse.drill.shown.changing import changes
from rehearse.drill.shown.keeping import keeps
from rehearse.drill.shown.points import Change, Keep, Point
from rehearse.drill.values import DrillResult, Kind

SECONDS = 25.0  # longest debrief
KEPT = 2  # things to keep

# Whether the commands to keep, and the one to change, are named by their first words.
_SHORTENED = ((False, False), (True, False), (True, True))
_LEVELS = frozenset({Keep.LOUD, Change.QUIET, Change.TOO_LOUD})  # over the calm voice


def debrief(
    result: DrillResult,
    language: str = "en",
    *,
    words_per_minute: int = WORDS_PER_MINUTE,
    seconds: float = SECONDS,
) -> str:
    """The debrief as one text to speak, no longer than `seconds` at the voice's rate.

    Long commands are named by their first words when not everything fits; then what to keep is
    left out, the less telling first; what to change is always told.

    Raises:
        RehearseError: there are no sentences in this language.
    """
    words = phrases(language)
    text = ""
    for text in _shorter_and_shorter(result, words):
        if _spoken_seconds(text, words_per_minute) <= seconds:
            break
    return text


def told(point: Point, words: Phrases, *, short: bool = False) -> str:
    """The point as a sentence.

    short: its command is named by its first words.
    """
    value, limit = _figures(point, words)
    return words.text(
        "keep" if isinstance(point.about, Keep) else "change",
        point.about.value,
        say=first_words(point.say) if short and point.say else point.say,
        value=value,
        limit=limit,
        why=point.why,
    )


def _shorter_and_shorter(result: DrillResult, words: Phrases) -> Iterator[str]:
    """The debrief, each time with less in it; the last is as short as can be."""
    kept = keeps(result)[:KEPT]
    change = next(iter(changes(result)), None)
    for count in range(len(kept), -1, -1):
        for short in _SHORTENED:
            yield _joined(result, kept[:count], change, words, short)
    yield " ".join([*_opening(result, words), words.text("debrief", "report")])


def _joined(
    result: DrillResult,
    kept: tuple[Point, ...],
    change: Point | None,
    words: Phrases,
    short: tuple[bool, bool],
) -> str:
    of_kept, of_change = short
    parts = list(_opening(result, words))
    if kept:
        parts.append(words.text("debrief", "keep", count=len(kept)))
        parts += [told(point, words, short=of_kept) for point in kept]
    if not result.passed and not (change and change.fault):
        parts.append(words.text("debrief", "report"))
    elif change is None:
        parts.append(words.text("debrief", "nothing"))
    else:
        parts.append(words.text("debrief", "change" if change.fault else "sharpen"))
        parts.append(told(change, words, short=of_change))
    return " ".join(parts)


def _opening(result: DrillResult, words: Phrases) -> Iterator[str]:
    """How it ended, and what that leaves out."""
    if result.why_ended != "finished":
        yield words.text("debrief", result.why_ended)
    yield words.text("debrief", "passed" if result.passed else "failed")
    if not any(shout.kind is not Kind.OTHER for shout in result.shouts):
        yield words.text("debrief", "silent")
    if result.lost:
        yield words.text("debrief", "lost")


def _figures(point: Point, words: Phrases) -> tuple[str, str]:
    """What was measured and what is demanded, as they are said; "" for none.

    They are told to as many digits as it takes to tell them apart.
    """
    unit, digits = _unit(point.about)
    value, limit = point.value, point.limit
    if value is not None and limit is not None:
        digits = next((d for d in (digits, 1, 2) if round(value, d) != round(limit, d)), digits)
    demanded = "" if limit is None else _said(limit, unit, digits, words)
    if value is None:
        return "", demanded
    if point.about in _LEVELS:
        side = "over" if value >= 0 else "under"
        return words.text("debrief", side, value=_said(abs(value), unit, digits, words)), demanded
    return _said(value, unit, digits, words), demanded


def _unit(about: Keep | Change) -> tuple[str, int]:
    """The unit by the name of its sentence, and how many digits it is told to."""
    if about is Keep.RHYTHM:
        return "times", 0
    if about is Change.STRAINED:
        return "semitones", 0
    return ("decibels", 0) if about in {*_LEVELS, Change.FADING} else ("seconds", 1)


def _said(value: float, unit: str, digits: int, words: Phrases) -> str:
    rounded = round(value, digits)
    return words.text("debrief", unit, count=int(rounded) if rounded.is_integer() else rounded)


def _spoken_seconds(text: str, words_per_minute: int) -> float:
    """How long it takes to say; "1.2" is read as "one point two"."""
    return speaking_seconds(re.sub(r"(\d)\.(\d)", r"\1 point \2", text), words_per_minute)
