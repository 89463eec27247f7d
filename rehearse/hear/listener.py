"""From a source of sound to events: offline for a recording, in threads for a microphone.

Both end-point and confirm alike, so the same sound gives the same utterances live and afterwards.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass

from rehearse.errors import RehearseError
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    Listening,
    Overflow,
    Partial,
    SpeechStarted,
)
from rehearse.hear.confirm import Confirmer
from rehearse.hear.endpoint import Endpointer, EndpointRule, Segment
from rehearse.hear.recogniser import Expectation, Recogniser, Sound
from rehearse.hear.source import Chunk, Source
from rehearse.hear.voice import SileroVoice
from rehearse.language import Language
from rehearse.memory import give_back

SPEAKING = 0.05  # seconds of silence within which somebody still speaks
SETTLED = 0.2  # seconds of silence after which the utterance is read as if it had ended
# Provisional readings leave the processor to others for at least half as long as they took, and
# come no more often than one can read them.
_REST = 0.5
_LEAST_NEW = 0.25  # seconds of new sound
# A program that ends while the recogniser is at work crashes, so closing waits for it.
_END_SECONDS = 60.0


def listen(
    source: Source,
    recogniser: Recogniser,
    expectation: Expectation,
    language: Language,
    rule: EndpointRule | None = None,
) -> Iterator[Event]:
    """Everything heard in a source, in order, from `Listening` to `Ended`.

    rule: when speech begins and ends; the usual one when it is None.

    Raises:
        SoundError: the source cannot be used, or breaks; what came before it has been given.
    """
    endpointer = Endpointer(SileroVoice(), rule)
    confirmer = Confirmer(recogniser, expectation, language)
    yield Listening(0.0)
    with closing(source.chunks()) as chunks:
        for chunk in chunks:
            if chunk.lost is not None:
                yield Overflow(chunk.time, chunk.lost)
            for found in endpointer.feed(chunk.samples):
                yield _read(found, confirmer)
    for found in endpointer.finish():
        yield _read(found, confirmer)
    yield Ended(endpointer.time, "end of recording")


def _read(found: SpeechStarted | Segment, confirmer: Confirmer) -> Event:
    return confirmer.confirm(found) if isinstance(found, Segment) else found


class _OutdatedError(Exception):
    """The utterance that is being read went on."""


@dataclass(frozen=True, eq=False)
class _Open:
    """The utterance in progress, as it stood at `time`, after `quiet` seconds of silence."""

    segment: Segment
    time: float
    quiet: float

    @property
    def settled(self) -> bool:
        """Whether it seems to have ended."""
        return self.quiet >= SETTLED


class LiveListener:
    """Hears a live source in two threads: one never waits, the other reads what it gathered.

    As soon as an utterance seems to have ended it is read, while the end-pointer still waits for
    it to go on; when it does not, its verdict is ready the moment it ends, or soon after. When it
    does, the reading is given up.

    source: the microphone.
    emit: takes every event, and a RehearseError in place of an event when hearing fails; called
        from the listener's threads.
    keep: takes all sound as it arrives, muted or not, for the take.
    rule: when speech begins and ends; the usual one when it is None.
    """

    def __init__(
        self,
        source: Source,
        recogniser: Recogniser,
        expectation: Expectation,
        language: Language,
        *,
        emit: Callable[[Event | RehearseError], None],
        keep: Callable[[Sound], None] | None = None,
        rule: EndpointRule | None = None,
    ) -> None:
        self._source = source
        self._recogniser = recogniser
        self._expectation = expectation
        self._confirmer = Confirmer(recogniser, expectation, language)
        self._emit = emit
        self._keep = keep
        self._endpointer = Endpointer(SileroVoice(), rule)
        self._muting = threading.Lock()
        self._changed = threading.Condition()
        self._ended: deque[Segment] = deque()
        self._open: _Open | None = None
        self._last: Event | RehearseError | None = None  # told once all before it has been read
        self._finishing = False
        self._closing = False
        self._threads = [
            threading.Thread(target=self._guarded, args=(work,), daemon=True, name=name)
            for work, name in ((self._capture, "ears"), (self._decode, "recogniser"))
        ]

    def start(self) -> None:
        """Open the source and begin to hear."""
        for thread in self._threads:
            thread.start()

    def mute(self) -> None:
        """Hear nothing from now on, while the tool speaks."""
        with self._muting:
            self._endpointer.mute()

    def unmute(self) -> None:
        """Hear again, a short tail from now."""
        with self._muting:
            self._endpointer.unmute()

    def finish(self) -> None:
        """Take no more sound; what was said until now is still read, and then `Ended` comes."""
        self._finishing = True

    def close(self) -> None:
        """Stop hearing and release the source; what has not been read yet is dropped."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        for thread in self._threads:
            if thread.is_alive() and thread is not threading.current_thread():
                thread.join(timeout=_END_SECONDS)
        give_back()

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except RehearseError as error:
            self._fail(error)
        except Exception as error:  # noqa: BLE001  (a thread that dies in silence hangs the take)
            self._fail(RehearseError(f"hearing broke down ({error!r}); start over"))

    def _fail(self, error: RehearseError) -> None:
        if not self._closing:
            self._emit(error)

    def _capture(self) -> None:
        last: Event | RehearseError
        try:
            with closing(self._source.chunks()) as chunks:
                for chunk in chunks:
                    if self._closing:
                        return
                    self._take(chunk)
                    if self._finishing:
                        break
            last = Ended(self._endpointer.time, "end of recording")
        except RehearseError as error:
            last = error
        with self._muting:
            rest = self._endpointer.finish()
        self._pass_on(rest)
        with self._changed:
            self._open = None
            self._last = last
            self._changed.notify_all()

    def _take(self, chunk: Chunk) -> None:
        if chunk.time == 0.0:
            self._emit(Listening(0.0))
        if chunk.lost is not None:
            self._emit(Overflow(chunk.time, chunk.lost))
        if self._keep is not None:
            self._keep(chunk.samples)
        with self._muting:
            found = self._endpointer.feed(chunk.samples)
            segment = self._endpointer.open()
            quiet = self._endpointer.quiet
        self._pass_on(found)
        with self._changed:
            self._open = None if segment is None else _Open(segment, self._endpointer.time, quiet)
            self._changed.notify_all()

    def _pass_on(self, found: list[SpeechStarted | Segment]) -> None:
        for item in found:
            if isinstance(item, SpeechStarted):
                self._emit(item)
            else:
                with self._changed:
                    self._ended.append(item)
                    self._changed.notify_all()

    def _decode(self) -> None:
        ready: tuple[Segment, Heard | Ghost] | None = None
        due = 0.0  # seconds of the sound from which on a provisional reading may begin
        while True:
            work = self._next(ready[0] if ready else None, due)
            if work is None:
                if self._last is not None and not self._closing:
                    self._emit(self._last)
                return
            if isinstance(work, Segment):
                same = ready is not None and _same(ready[0], work)
                self._emit(ready[1] if ready and same else self._confirmer.confirm(work))
                ready = None
            elif work.settled:
                with suppress(_OutdatedError):
                    ready = work.segment, self._settled(work)
            else:
                began = time.monotonic()
                text = self._recogniser.partial(work.segment.sound, self._expectation)
                self._emit(Partial(work.time, text))
                took = time.monotonic() - began
                due = work.time + max(_LEAST_NEW, (1 + _REST) * took)

    def _settled(self, work: _Open) -> Heard | Ghost:
        """What was said in an utterance that seems to have ended.

        Raises:
            _OutdatedError: it goes on.
        """

        def read(text: str) -> None:
            if not self._stands(work.segment):
                raise _OutdatedError
            self._emit(Partial(work.time, text))

        return self._confirmer.confirm(work.segment, read)

    def _stands(self, segment: Segment) -> bool:
        """Whether an utterance is still as it was, ended or not."""
        with self._changed:
            now = [*self._ended, *([] if self._open is None else [self._open.segment])]
        return any(_same(each, segment) for each in now)

    def _next(self, ready: Segment | None, due: float) -> Segment | _Open | None:
        """The most urgent thing to read: an ended utterance, a settled one, a provisional one.

        Nothing provisional is read once it becomes quiet: that would delay the final text.
        """
        with self._changed:
            while not self._closing:
                if self._ended:
                    return self._ended.popleft()
                if self._last is not None:
                    return None
                now = self._open
                if now is not None and now.settled:
                    if ready is None or not _same(ready, now.segment):
                        return now
                elif now is not None and now.quiet <= SPEAKING and _fresh(now, due):
                    return now
                self._changed.wait()
        return None


def _fresh(now: _Open, due: float) -> bool:
    """Whether enough has been said for a provisional reading."""
    return now.time >= max(due, now.segment.start + _LEAST_NEW)


def _same(one: Segment, other: Segment) -> bool:
    return (one.start, one.end, one.sound.size) == (other.start, other.end, other.sound.size)
