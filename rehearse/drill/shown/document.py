"""The result of a drill as a JSON-ready object; `docs/drill-results.md` explains its keys. Pure.

Numbers are rounded to what they can be trusted for, so that the same take gives the same bytes.
"""

from __future__ import annotations

from typing import Any

from rehearse.drill.values import Answered, DrillResult, Limits, Shout, Staged
from rehearse.measured import Measured
from rehearse.safety import NOTICE

FORMAT = 1  # raised only when an older reader could misread the object


def document(result: DrillResult) -> dict[str, Any]:
    """The result with everything in it."""
    return {
        "format": FORMAT,
        "drill": result.drill,
        "title": result.title,
        "revision": result.revision,
        "seed": result.seed,
        "passed": result.passed,
        "why_ended": result.why_ended,
        "stages": [_stage(stage) for stage in result.stages],
        "shouts": [_shout(shout) for shout in result.shouts],
        "voice": {
            "calm": measured(result.calm),
            "drop": measured(result.drop),
            "strain": measured(result.strain),
            "clipped": round(result.clipped, 4),
        },
        "lost": [
            {"time": round(lost.time, 3), "seconds": round(lost.seconds, 3)} for lost in result.lost
        ],
        "notice": NOTICE,
    }


def measured(value: Measured) -> dict[str, Any]:
    """A measured value: `value` and `error`, or `value` null and `void`, why there is none."""
    if value.value is None:
        return {"value": None, "void": value.void}
    return {"value": round(value.value, 3), "error": round(value.error, 3)}


def _stage(stage: Staged) -> dict[str, Any]:
    return {
        "id": stage.id,
        "told": stage.told,
        "cue": _time(stage.cue),
        "cue_start": _time(stage.cue_start),
        "cue_end": _time(stage.cue_end),
        "ended": _time(stage.ended),
        "outcome": None if stage.outcome is None else stage.outcome.value,
        "answers": [_answer(answered) for answered in stage.answers],
        "stopped": measured(stage.stopped),
        "stop_within": stage.stop_within,
        "faults": list(stage.faults),
    }


def _answer(answered: Answered) -> dict[str, Any]:
    return {
        "answer": answered.answer,
        "say": answered.say,
        "critical": answered.critical,
        "verdict": answered.verdict.value,
        "reaction": measured(answered.reaction),
        "count": answered.count,
        "rate": measured(answered.rate),
        "unevenness": measured(answered.unevenness),
        "silence": measured(answered.silence),
        "went_on": measured(answered.went_on),
        "level": measured(answered.level),
        "limits": _limits(answered.limits),
        "faults": list(answered.faults),
    }


def _limits(limits: Limits) -> dict[str, Any]:
    return {
        "within": limits.within,
        "every": limits.every,
        "lasts": limits.lasts,
        "louder": limits.louder,
        "calmer": limits.calmer,
    }


def _shout(shout: Shout) -> dict[str, Any]:
    return {
        "start": _time(shout.start),
        "end": _time(shout.end),
        "text": shout.text,
        "stage": shout.stage,
        "kind": shout.kind.value,
        "answer": shout.answer,
        "why": shout.why,
        "level": measured(shout.level),
        "pitch": measured(shout.pitch),
        "clipped": round(shout.clipped, 4),
    }


def _time(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds, 3)
