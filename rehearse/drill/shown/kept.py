"""A drill's result read back from the object that `document` made of it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rehearse.drill.model import Outcome
from rehearse.drill.shown.document import FORMAT
from rehearse.drill.values import Answered, DrillResult, Kind, Limits, Shout, Staged
from rehearse.events import Overflow
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured

Row = Mapping[str, Any]


def result_of(row: Row) -> DrillResult:
    """The result, with its numbers as they were rounded. Keys of a newer writer are passed over.

    Raises:
        ValueError: this is no drill's result, or it was written in a way that cannot be read here.
    """
    try:
        if int(row["format"]) > FORMAT:
            raise ValueError(f"format {row['format']} was written by a newer version")
        return _result(row)
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(f"not the result of a drill: {error}") from error


def _result(row: Row) -> DrillResult:
    voice: Row = row["voice"]
    return DrillResult(
        drill=str(row["drill"]),
        title=str(row["title"]),
        revision=int(row["revision"]),
        seed=int(row["seed"]),
        passed=bool(row["passed"]),
        stages=tuple(map(_stage, row["stages"])),
        shouts=tuple(map(_shout, row["shouts"])),
        calm=_measured(voice["calm"]),
        drop=_measured(voice["drop"]),
        strain=_measured(voice["strain"]),
        clipped=float(voice["clipped"]),
        lost=tuple(Overflow(float(r["time"]), float(r["seconds"])) for r in row["lost"]),
        why_ended=str(row["why_ended"]),
    )


def _measured(row: Row) -> Measured:
    value = _number(row["value"])
    return Measured(value, float(row.get("error", 0.0)), str(row.get("void", "")))


def _stage(row: Row) -> Staged:
    return Staged(
        id=str(row["id"]),
        told=str(row["told"]),
        cue=_number(row["cue"]),
        cue_start=_number(row["cue_start"]),
        cue_end=_number(row["cue_end"]),
        ended=float(row["ended"]),
        outcome=None if row["outcome"] is None else Outcome(row["outcome"]),
        answers=tuple(map(_answered, row["answers"])),
        stopped=_measured(row["stopped"]),
        faults=tuple(map(str, row["faults"])),
        stop_within=_number(row["stop_within"]),
    )


def _answered(row: Row) -> Answered:
    return Answered(
        answer=str(row["answer"]),
        say=str(row["say"]),
        critical=bool(row["critical"]),
        verdict=Verdict(row["verdict"]),
        reaction=_measured(row["reaction"]),
        count=int(row["count"]),
        rate=_measured(row["rate"]),
        unevenness=_measured(row["unevenness"]),
        silence=_measured(row["silence"]),
        went_on=_measured(row["went_on"]),
        level=_measured(row["level"]),
        faults=tuple(map(str, row["faults"])),
        limits=_limits(row["limits"]),
    )


def _limits(row: Row) -> Limits:
    return Limits(
        within=_number(row["within"]),
        every=_number(row["every"]),
        lasts=float(row["lasts"]),
        louder=_number(row["louder"]),
        calmer=_number(row["calmer"]),
    )


def _shout(row: Row) -> Shout:
    return Shout(
        start=float(row["start"]),
        end=float(row["end"]),
        text=str(row["text"]),
        stage=str(row["stage"]),
        kind=Kind(row["kind"]),
        answer=str(row["answer"]),
        why=str(row["why"]),
        level=_measured(row["level"]),
        pitch=_measured(row["pitch"]),
        clipped=float(row["clipped"]),
    )


def _number(value: float | None) -> float | None:
    return None if value is None else float(value)
