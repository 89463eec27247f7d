"""The JSON object that `rehearse score --json` prints for one take. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rehearse.events import Event
from rehearse.judge.verdict import Extra, Result, StepResult
from rehearse.record.timing import Timing, timing, utterances
from rehearse.safety import NOTICE


def summary(file: str, result: Result, events: Sequence[Event]) -> dict[str, Any]:
    """What was found in one take, ready for `json.dumps`.

    Keys may be added in later versions, none is taken away. Times are seconds from the start of
    the take, to the hundredth; a time that nobody knows is null.
    """
    return {
        "file": file,
        "procedure": result.procedure,
        "revision": result.revision,
        "passed": result.passed,
        "steps": [_step(step) for step in result.steps],
        "extras": [_extra(extra) for extra in result.extras],
        "heard": [
            {"text": heard.text, "start": _seconds(heard.start), "end": _seconds(heard.end)}
            for heard in utterances(events)
        ],
        "timing": _timing(timing(events)),
        "notice": NOTICE,
    }


def _step(step: StepResult) -> dict[str, Any]:
    return {
        "id": step.id,
        "verdict": step.verdict.value,
        "probability": round(float(step.probability), 3),
        "heard": step.heard,
        "start": _seconds(step.start),
        "end": _seconds(step.end),
        "why": step.why,
        "missing": step.missing,
        "corrected": step.corrected,
    }


def _extra(extra: Extra) -> dict[str, Any]:
    return {
        "heard": extra.heard,
        "dangerous": extra.dangerous,
        "why": extra.why,
        "start": _seconds(extra.start),
        "end": _seconds(extra.end),
    }


def _timing(measured: Timing) -> dict[str, Any]:
    pace = measured.words_per_minute
    return {
        "first_word": _seconds(measured.first_word),
        "last_word": _seconds(measured.last_word),
        "duration": _seconds(measured.duration),
        "words": measured.words,
        "words_per_minute": None if pace is None else round(pace),
        "longest_silence": _seconds(measured.longest_silence),
        "gaps": [
            {
                "start": _seconds(gap.start),
                "end": _seconds(gap.end),
                "silence": _seconds(gap.silence),
            }
            for gap in measured.gaps
        ],
        "void": measured.void,
        "lost": [
            {"time": _seconds(lost.time), "seconds": _seconds(lost.seconds)}
            for lost in measured.lost
        ],
    }


def _seconds(value: float | None) -> float | None:
    return None if value is None else round(float(value), 2)
