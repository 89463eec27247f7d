"""Scoring without a person: recordings, words files and kept takes, each a take of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from rehearse.book.model import Procedure
from rehearse.coach.requests import Request, request, wordings_of
from rehearse.events import Ended, Event, Heard, Requested, Restarted
from rehearse.hear.listener import listen
from rehearse.hear.recording import Recording
from rehearse.judge.assess import Assessor
from rehearse.record.report import Report
from rehearse.record.take import Take
from rehearse.session.engine import Engine
from rehearse.session.words import read_words

Progress = Callable[[float], None]  # told the seconds of sound heard so far


def score_audio(
    procedure: Procedure, path: Path, engine: Engine, progress: Progress = lambda _seconds: None
) -> Report:
    """A recording judged. Raises SoundError when it cannot be used."""
    heard = listen(
        Recording(path),
        engine.recogniser,
        engine.expectation(procedure),
        engine.language,
        progress,
    )
    return _report(str(path), procedure, engine.assessor(procedure), heard)


def score_words(procedure: Procedure, path: Path, assessor: Assessor) -> Report:
    """A words file judged. Raises WordsError when it cannot be used."""
    heards = read_words(path)
    events: list[Event] = [*heards, Ended(heards[-1].end, "end of recording")]
    return _report(str(path), procedure, assessor, events)


def score_take(folder: Path, assessor_of: Callable[[Procedure], Assessor]) -> Report:
    """A kept take judged again, from its log. Raises StoreError when it cannot be opened."""
    take = Take.open(folder)
    assessor = assessor_of(take.procedure)
    for event in take.events:
        _judge(assessor, event)
    return Report(take.header.id, take.procedure, assessor.result(), take.events, take.header)


def _report(
    name: str, procedure: Procedure, assessor: Assessor, events: Iterable[Event]
) -> Report:
    kept: list[Event] = []
    for event in _with_requests(events, procedure):
        kept.append(event)
        _judge(assessor, event)
    return Report(name, procedure, assessor.result(), tuple(kept))


def _with_requests(events: Iterable[Event], procedure: Procedure) -> Iterator[Event]:
    """The events with spoken requests taken out of what is judged, as in practice."""
    wordings = wordings_of(procedure)
    for event in events:
        match event:
            case Heard(end=end, text=text) if asked := request(text, wordings, procedure.language):
                yield Requested(end, asked.value, text)
                if asked is Request.OVER:
                    yield Restarted(end)
            case _:
                yield event


def _judge(assessor: Assessor, event: Event) -> None:
    match event:
        case Heard():
            assessor.add(event)
        case Restarted():
            assessor.restart()
