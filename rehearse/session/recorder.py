"""What a microphone hears for some seconds, kept as one sound with a clock."""

from __future__ import annotations

import threading
import time
from contextlib import closing
from types import TracebackType
from typing import Self

import numpy as np

from rehearse.errors import RehearseError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.source import Source
from rehearse.session.clock import SoundClock

_OPEN_SECONDS = 8.0
_LOOK_SECONDS = 0.02


class Recorder:
    """Hears a source while its `with` block lasts.

    clock: the time by what has been delivered: its second n is second n of the sound.

    Raises:
        RehearseError: on entering and on leaving the block, when the source fails.
    """

    def __init__(self, source: Source) -> None:
        self.clock = SoundClock()
        self._source = source
        self._thread = threading.Thread(target=self._record, daemon=True, name="ears")
        self._pieces: list[Sound] = []
        self._arrived = 0
        self._lost: list[float] = []
        self._first = threading.Event()
        self._over = threading.Event()
        self._trouble: RehearseError | None = None

    def __enter__(self) -> Self:
        self._thread.start()
        self._first.wait(_OPEN_SECONDS)
        self._fail()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._over.set()
        self._thread.join(_OPEN_SECONDS)
        self._fail()

    @property
    def sound(self) -> Sound:
        """All of it."""
        return np.concatenate([np.zeros(0, np.float32), *self._pieces])

    def between(self, start: float, end: float) -> Sound:
        """The sound between two of its seconds."""
        return self.sound[int(start * RATE) : int(end * RATE)]

    def lost(self, start: float, end: float) -> bool:
        """Whether the device lost samples between two of its seconds."""
        return any(start <= time_ <= end for time_ in self._lost)

    def wait(self, until: float) -> None:
        """Return when the sound has come to this second, or comes no further.

        Raises:
            RehearseError: the source failed.
        """
        while self._arrived < until * RATE and not self._over.is_set():
            time.sleep(_LOOK_SECONDS)
        self._fail()

    def _fail(self) -> None:
        if self._trouble is not None:
            raise self._trouble

    def _record(self) -> None:
        try:
            with closing(self._source.chunks()) as chunks:
                for chunk in chunks:
                    if chunk.lost is not None:
                        self._lost.append(chunk.time)
                        self.clock.lost()
                    self.clock.advance(chunk.samples.size / RATE)
                    self._pieces.append(chunk.samples)
                    self._arrived += chunk.samples.size
                    self._first.set()
                    if self._over.is_set():
                        return
        except RehearseError as error:
            self._trouble = error
        finally:
            self._over.set()
            self._first.set()
