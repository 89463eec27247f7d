"""Scoring without a person: recordings, words files and kept takes, each a take of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import count
from pathlib import Path
from typing import Literal

from rehearse.book.model import Procedure
from rehearse.coach.requests import Request, requested, wordings_of
from rehearse.events import Ended, Event, Ghost, Heard, Requested, Restarted
from rehearse.hear.listener import listen
from rehearse.hear.recogniser import Sound
from rehearse.hear.recording import Recording
from rehearse.judge.assess import Assessor
from rehearse.language import load
from rehearse.record.page import page
from rehearse.record.place import cannot_write, write_private
from rehearse.record.report import Report
from rehearse.record.take import Take
from rehearse.record.waveform import waveform
from rehearse.session.engine import load_engine, load_readers
from rehearse.session.words import read_words

Progress = Callable[[float], None]  # told the seconds of sound heard so far
Kind = Literal["audio", "words", "take"]


class Scorer:
    """Judges one input after another with models that are loaded once.

    procedure: what recordings and words files are judged against; None when there are only takes.
    """

    def __init__(self, procedure: Procedure | None, *, with_sound: bool) -> None:
        """Loads the models; those for hearing only when there is sound.

        Raises:
            ModelError: a model is missing or altered.
        """
        self._procedure = procedure
        heard = procedure.language if procedure and with_sound else ""
        self._engine = load_engine(heard) if heard else None
        self._readers = self._engine.readers if self._engine else load_readers()
        self.unheard = self._engine.unheard(procedure) if self._engine and procedure else ""
        self._pages: set[Path] = set()  # those written by now, none of which may be lost

    def report(self, kind: Kind, path: Path, progress: Progress = lambda _seconds: None) -> Report:
        """One input judged. Raises a RehearseError when it cannot be used."""
        if kind == "take":
            return self._take(path)
        if self._procedure is None:
            raise ValueError("this scorer was made for takes, which bring their own procedure")
        if kind == "words":
            heards = read_words(path)
            events: list[Event] = [*heards, Ended(heards[-1].end, "end of recording")]
            return self._judged(path, self._procedure, events)
        return self._judged(path, self._procedure, _counted(self._hear(path), progress))

    def _hear(self, path: Path) -> Iterator[Event]:
        if self._engine is None or self._procedure is None:
            raise ValueError("this scorer was not made for sound")
        return listen(
            Recording(path),
            self._engine.recogniser,
            self._engine.expectation(self._procedure),
            self._engine.language_of(self._procedure),
        )

    def write_page(self, report: Report, folder: Path, kind: Kind, path: Path) -> Path:
        """The report as a page in `folder`; returns the page's path. Raises StoreError."""
        waves = None
        if kind == "take":
            waves = Take.open(path).sound()
        elif kind == "audio":
            waves = (chunk.samples for chunk in Recording(path).chunks())
        return write_page(report, self._free(folder, path.stem), waves)

    def _free(self, folder: Path, name: str) -> Path:
        """A page for another input of the same name gets a number; older runs' are replaced."""
        names = (name if at == 1 else f"{name}-{at}" for at in count(1))
        path = next(p for n in names if (p := folder / f"{n}.html") not in self._pages)
        self._pages.add(path)
        return path

    def _take(self, folder: Path) -> Report:
        take = Take.open(folder)
        assessor = self._assessor(take.procedure)
        for event in take.events:
            _judge(assessor, event)
        return Report(take.header.id, take.procedure, assessor.result(), take.events, take.header)

    def _assessor(self, procedure: Procedure) -> Assessor:
        return Assessor(procedure, self._readers, load(procedure.language))

    def _judged(self, path: Path, procedure: Procedure, events: Iterable[Event]) -> Report:
        assessor = self._assessor(procedure)
        kept: list[Event] = []
        for event in _with_requests(events, procedure):
            kept.append(event)
            _judge(assessor, event)
        return Report(str(path), procedure, assessor.result(), tuple(kept))


def write_page(report: Report, path: Path, sound: Iterable[Sound] | None) -> Path:
    """The report as a page, readable by its owner alone. Raises StoreError."""
    text = page(report, waveform(sound) if sound is not None else None)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_write(path.parent, error) from None
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise cannot_write(path, error) from None
    write_private(path, text.encode())
    return path


def _counted(events: Iterable[Event], progress: Progress) -> Iterator[Event]:
    for event in events:
        if isinstance(event, Heard | Ghost):
            progress(event.end)
        yield event


def _with_requests(events: Iterable[Event], procedure: Procedure) -> Iterator[Event]:
    """The events with spoken requests taken out of what is judged, as in practice."""
    wordings = wordings_of(procedure)
    for event in events:
        match event:
            case Heard(end=end, text=text) if found := requested(
                event, wordings, procedure.language
            ):
                yield Requested(end, found.value, text)
                if found is Request.OVER:
                    yield Restarted(end)
            case _:
                yield event


def _judge(assessor: Assessor, event: Event) -> None:
    match event:
        case Heard():
            assessor.add(event)
        case Restarted():
            assessor.restart()
