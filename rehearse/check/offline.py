"""An oral check from recordings, words files or a take that was cut short: kept as a take too."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Protocol

from rehearse.book.model import Procedure
from rehearse.check.flow import HELP_OFF, OralCheck, remarks_of
from rehearse.check.values import CheckedTake, Statement
from rehearse.coach.actions import Finish
from rehearse.errors import RehearseError, StoreError
from rehearse.events import Ended, Event, Heard, Instructed, Judged
from rehearse.hear.recording import Recording
from rehearse.judge.verdict import Result
from rehearse.record.take import Take, TakeWriter


class Judges(Protocol):
    """What a check asks of a judge; `rehearse.judge.assess.Assessor` is one."""

    def add(self, heard: Heard) -> None:
        """Take in one more utterance."""
        ...

    def result(self) -> Result:
        """The verdicts on what was heard so far."""
        ...


JudgeOf = Callable[[Procedure], Judges]


def check_heard(
    procedure: Procedure,
    statement: Statement,
    judge: Judges,
    heard: Iterable[Event],
    *,
    takes: Path,
    started: datetime,
    recording: Path | None = None,
    instructed: Iterable[Instructed] = (),
) -> CheckedTake:
    """One take from what was heard already.

    heard: the events of a recording or a words file, `Ended` last.
    takes: the folder it is kept in. started: when it began, aware.
    recording: what it was heard from, None for words; its sound is kept with consent only.
    instructed: what the instructor did.

    Raises:
        RehearseError: the input cannot be used or the take cannot be written; nothing is kept.
    """
    keep_sound = recording is not None and statement.consent
    writer = TakeWriter.create(
        takes,
        procedure,
        started=started,
        help_level=HELP_OFF,
        source="words" if recording is None else "recording",
        keep_sound=keep_sound,
    )
    try:
        with writer:
            if recording is not None and keep_sound:
                for chunk in Recording(recording).chunks():
                    writer.write_sound(chunk.samples)
            events = _merged(statement, heard, instructed)
            result, check = _run(OralCheck(procedure), judge, events, writer)
    except RehearseError:
        shutil.rmtree(writer.folder, ignore_errors=True)  # the input is still there to try again
        raise
    return CheckedTake(Take.open(writer.folder), result, check.remarks)


def reopened(folder: Path, judge_of: JudgeOf) -> CheckedTake:
    """A check's take that was kept but not filed, judged from its log.

    Raises:
        StoreError: there is no take, or it is no oral check's.
    """
    take = Take.open(folder)
    if take.header.help != HELP_OFF:
        raise StoreError(f"{folder}: this take is practice, with help; name a check's take")
    judge = judge_of(take.procedure)
    for event in take.events:
        if isinstance(event, Heard):
            judge.add(event)
    return CheckedTake(take, judge.result(), remarks_of(take.procedure, take.events))


def _merged(
    statement: Statement, heard: Iterable[Event], instructed: Iterable[Instructed]
) -> Iterator[Event]:
    """What was stated, then what was heard, with what the instructor did in between."""
    yield from statement.events()
    acts = sorted(instructed, key=_begins)
    for event in heard:
        while acts and acts[0].time <= _begins(event):
            yield acts.pop(0)
        yield event


def _begins(event: Event) -> float:
    return float(getattr(event, "start", getattr(event, "time", 0.0)))


def _run(
    check: OralCheck, judge: Judges, events: Iterable[Event], writer: TakeWriter
) -> tuple[Result, OralCheck]:
    """Logs and judges the events, as a live take does, until the check is over."""
    before = judge.result()
    for event in events:
        read = check.read(event) if isinstance(event, Heard) else event
        if not isinstance(read, Ended):
            writer.write(read)
        if isinstance(read, Heard):
            judge.add(read)
        check, actions = check.step(_begins(read), read, before)
        for action in actions:
            if isinstance(action, Finish):
                result = judge.result()
                _log_verdicts(result, _begins(read), writer)
                writer.write(Ended(_begins(read), action.why))
                return result, check
    raise ValueError("what was heard does not say where it ends")


def _log_verdicts(result: Result, now: float, writer: TakeWriter) -> None:
    for step in result.steps:
        verdict = step.verdict.value
        writer.write(Judged(now, step.id, verdict, float(step.probability), step.why))
