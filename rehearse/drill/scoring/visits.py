"""The stages that a run went through, from the events of its take. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rehearse.drill.model import Outcome, Stage
from rehearse.drill.values import Run
from rehearse.events import CueEnded, CueStarted, Ended, Event, StageOver


@dataclass(frozen=True)
class Visit:
    """One stage as the run went through it. Times are seconds in the sound.

    cue_start, cue_end: when the microphone could hear the cue; None when it never came.
    cue: when the trainee could know; see `rehearse.drill.values.Staged`.
    ended: when the stage was over, or the take. outcome: None when the take ended first.
    """

    stage: Stage
    told: str = ""
    cue_start: float | None = None
    cue_end: float | None = None
    ended: float = 0.0
    outcome: Outcome | None = None
    headset: bool = False

    @property
    def cue(self) -> float | None:
        """When the trainee could know."""
        cue = self.stage.cue
        if self.headset and cue.sound and not cue.says:
            return self.cue_start
        return self.cue_end


def visits(run: Run) -> tuple[Visit, ...]:
    """Every stage whose cue was given or that was over, in order."""
    found: list[Visit] = []
    late = run.latency.value or 0.0
    for event in run.events:
        match event:
            case CueStarted(time=time, stage=stage, told=told):
                cued = Visit(run.drill.stage(stage), told, time + late, headset=run.headset)
                found.append(cued)
            case CueEnded(time=time, stage=stage) if found and found[-1].stage.id == stage:
                found[-1] = replace(found[-1], cue_end=time + late)
            case StageOver(time=time, stage=stage, outcome=outcome):
                if not found or found[-1].stage.id != stage or found[-1].outcome is not None:
                    found.append(Visit(run.drill.stage(stage), headset=run.headset))
                found[-1] = replace(found[-1], ended=time, outcome=Outcome(outcome))
    last = end_of(run.events)
    return tuple(v if v.outcome else replace(v, ended=max(last, v.cue_end or 0.0)) for v in found)


def end_of(events: Iterable[Event]) -> float:
    """When the take ended, seconds; the time of its last event when it broke off."""
    last = 0.0
    for event in events:
        last = max(last, getattr(event, "time", getattr(event, "end", 0.0)))
        if isinstance(event, Ended):
            return event.time
    return last


def during(found: Sequence[Visit], time: float) -> int:
    """Which visit lasts at a time: the last one whose cue had begun; -1 before the first."""
    begun = [at for at, v in enumerate(found) if v.cue_start is not None and v.cue_start <= time]
    return begun[-1] if begun else -1
