"""Every text of every voice under every condition through every pipeline, in several processes.

One process takes a text of a voice at a time and does all that is asked of it; results come back
to the first process, which alone writes them down.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from rehearse.bench.drill_voices import Shouter
from rehearse.bench.hearing import rows
from rehearse.bench.hearing.conditions import AFTER, BEFORE, condition_sound, seed_of
from rehearse.bench.hearing.pipelines import OURS, Outcome, Pipeline, loaded
from rehearse.bench.hearing.rows import TEXT, Key, Row
from rehearse.bench.hearing.slots import exact, slots
from rehearse.bench.hearing.trials import LANGUAGE, Trial
from rehearse.bench.processes import spread
from rehearse.book.model import Procedure
from rehearse.hear.recogniser import RATE
from rehearse.language import load


@dataclass(frozen=True)
class Unit:
    """One text of one voice, and what is still asked of it: pairs of condition and pipeline."""

    trial: Trial
    procedure: Procedure
    voice: Shouter
    asked: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Plan:
    """What a run shall do.

    voices: each with its trials. pipelines: their names. every: those beside our own hear one text
        in so many.
    """

    voices: Sequence[tuple[Shouter, Sequence[Trial]]]
    procedures: Mapping[str, Procedure]
    conditions: Sequence[str]
    pipelines: Sequence[str]
    every: int = 1

    def units(self, done: Mapping[Key, Row]) -> tuple[Unit, ...]:
        """All that is not done yet."""
        units = (
            Unit(
                trial,
                self.procedures[trial.procedure],
                voice,
                tuple(
                    pair
                    for pair in self._asked(voice.name, trial.text)
                    if (voice.name, trial.text, *pair) not in done
                ),
            )
            for voice, trials in self.voices
            for trial in trials
        )
        return tuple(unit for unit in units if unit.asked)

    def _asked(self, voice: str, text: str) -> list[tuple[str, str]]:
        """Pipelines follow one another on each sound, so that some can share work."""
        all_hear = seed_of(voice, text, "every") % self.every == 0
        names = [name for name in self.pipelines if name == OURS or all_hear]
        return [(condition, name) for condition in (TEXT, *self.conditions) for name in names]


def measure(units: Sequence[Unit], workers: int, keep: Path | None) -> Iterator[tuple[Row, ...]]:
    """The results of each unit as soon as they are known; kept as they come.

    Raises:
        RehearseError: a voice cannot speak, a model or the file cannot be used, or a process ended.
    """
    if keep is not None:
        rows.add(keep, ())  # a file that cannot be written is told before anything is heard
    for found in spread(_work, units, workers):
        if keep is not None:
            rows.add(keep, found)
        yield found


def _work(unit: Unit) -> tuple[Row, ...]:
    return results(unit, {name: loaded(name) for _, name in unit.asked})


def results(unit: Unit, pipelines: Mapping[str, Pipeline]) -> tuple[Row, ...]:
    """Everything asked of one unit.

    Raises:
        RehearseError: the voice cannot speak.
    """
    text, procedure = unit.trial.text, unit.procedure
    step = procedure.step(unit.trial.step)
    clip = unit.voice.say(text)
    sounds = {
        condition: condition_sound(clip, unit.voice.name, text, condition)
        for condition in dict.fromkeys(condition for condition, _ in unit.asked)
        if condition != TEXT
    }
    found = []
    for condition, name in unit.asked:
        sound = sounds.get(condition)
        if sound is None:
            outcome, seconds = pipelines[name].judge(text, procedure, step), 0.0
        else:
            outcome = pipelines[name].hear(sound, procedure, step)
            seconds = sound.size / RATE - BEFORE - AFTER
        found.append(_row(unit, condition, name, seconds, outcome))
    return tuple(found)


def _row(unit: Unit, condition: str, pipeline: str, seconds: float, outcome: Outcome) -> Row:
    trial = unit.trial
    language = load(LANGUAGE).added(unit.procedure.words)
    return Row(
        voice=unit.voice.name,
        procedure=trial.procedure,
        step=trial.step,
        kind=trial.kind,
        command=trial.command,
        text=trial.text,
        condition=condition,
        pipeline=pipeline,
        seconds=round(seconds, 3),
        heard=outcome.heard,
        exact=exact(trial.text, outcome.heard, language),
        slots=slots(trial.text, outcome.heard, outcome.free, outcome.checks, language),
        verdict=outcome.verdict,
        score=outcome.score,
        delay=round(outcome.delay, 4),
        cost=round(outcome.cost, 4),
        judging=round(outcome.judging, 4),
        support=outcome.support,
    )
