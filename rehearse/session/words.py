"""Words files: utterances as JSON Lines instead of sound."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from rehearse.errors import WordsError
from rehearse.events import Heard

MOST_BYTES = 20_000_000
LONGEST = 86_400.0  # seconds in a take; a larger number is milliseconds, or a time of day


def read_words(path: Path) -> list[Heard]:
    """The utterances of a words file, one a line: `{"text": "...", "start": 0.0, "end": 1.9}`.

    `start` and `end` are seconds; without them each utterance is taken to follow the one before
    at an ordinary pace. Empty lines are passed over.

    Raises:
        WordsError: the file cannot be read or a line is not such an object; the message names
            the line, the field and the mend.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise WordsError(f"{path}: larger than 20 MB; split it into takes")
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise WordsError(f"{path}: not UTF-8 text; save it as UTF-8") from None
    except OSError as error:
        raise WordsError(f"{path}: cannot be read ({error.strerror}); check the name") from None
    heards: list[Heard] = []
    for number, line in enumerate(text.split("\n"), 1):
        if line.strip():
            after = heards[-1].end if heards else 0.0
            heards.append(_heard(line, f"{path}:{number}", after))
    if not heards:
        raise WordsError(f'{path}: no utterance in it; write one {{"text": ...}} object a line')
    return heards


_PACE = 2.5  # words a second, where the file gives no times
_GAP = 0.8  # seconds between utterances, where the file gives no times


def _heard(line: str, where: str, after: float) -> Heard:
    try:
        row = json.loads(line)
    except (ValueError, RecursionError):  # ValueError also for a number of thousands of digits
        raise WordsError(f'{where}: not a JSON object; write {{"text": "..."}}') from None
    if not isinstance(row, dict):
        raise WordsError(f'{where}: not a JSON object; write {{"text": "..."}}')
    text = row.get("text")
    if not isinstance(text, str):
        raise WordsError(f"{where}: text: missing or not a string; write the words that were said")
    if not text.strip():
        raise WordsError(f"{where}: text: empty; write the words that were said, or leave it out")
    start = _seconds(row, "start", where, after + (_GAP if after else 0.0))
    end = _seconds(row, "end", where, start + len(text.split()) / _PACE)
    if end < start:
        raise WordsError(f"{where}: end: before start; give both in seconds from the beginning")
    return Heard(start, end, text)


def _seconds(row: dict[str, Any], field: str, where: str, instead: float) -> float:
    value = row.get(field, instead)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise WordsError(f"{where}: {field}: not a number; give seconds, as 1.9")
    if not 0 <= value <= LONGEST:  # NaN is not between any two numbers
        raise WordsError(f"{where}: {field}: not a time; give seconds, from 0 to {LONGEST:.0f}")
    return float(value)
