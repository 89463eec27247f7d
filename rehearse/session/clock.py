"""The time of a take, as its sound has it: second n of the clock is second n of the recording."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

_RECENT = 64  # blocks, about two seconds: how soon the clock follows when the device loses sound


class SoundClock:
    """Seconds of sound that have arrived, carried on between two blocks by the system's clock.

    A device starts late, loses samples and has a clock of its own, so that time measured beside
    it drifts away from the recording. Blocks arrive late but never early: the earliest of the
    last ones tells how the two clocks stand. Before the first block the time is 0; it never goes
    back, unless it is told that sound was lost. Safe to use from several threads.

    now: the system's clock, in seconds.
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._lock = threading.Lock()
        self._arrived = 0.0
        self._leads: deque[float] = deque(maxlen=_RECENT)  # the system's clock minus the sound's
        self._told = 0.0

    def advance(self, seconds: float) -> None:
        """So much more sound has arrived just now."""
        with self._lock:
            self._arrived += seconds
            self._leads.append(self._now() - self._arrived)

    def lost(self) -> None:
        """The device has lost sound: what arrives next follows at once on what arrived before."""
        with self._lock:
            self._leads.clear()
            self._told = self._arrived

    def __call__(self) -> float:
        """Seconds from the first sample to now."""
        with self._lock:
            if self._leads:
                self._told = max(self._told, self._now() - min(self._leads))
            return self._told
