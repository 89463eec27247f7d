"""A prompt or a cue on its way to being heard, and the report of its beginning and its end."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from rehearse.events import CueEnded, CueStarted, PromptEnded, PromptStarted
from rehearse.speak.sound import Rendered

Emit = Callable[[PromptStarted | PromptEnded], None]
Cued = Callable[[CueStarted | CueEnded], None]
Clock = Callable[[], float]

# The end of a sound is told so long after it would have been without any delay (measured through
# PulseAudio: 0.052 to 0.067 s in 15 of 16 sounds on a machine with five times the work it can do,
# 0.42 s where the device had run dry).
_TOLD_AFTER = 0.06
_FALTERED = 0.05  # seconds more than that: the device had to be waited for


def untold(_event: CueStarted | CueEnded) -> None:
    """Where nobody is told of cues, since none is given."""


@dataclass(frozen=True, eq=False)
class Piece:
    """What is to be heard.

    render: its sound; raises VoiceError.
    started, ended: report it, given the time, whether it was finished, and by how many seconds the
        device faltered.
    to_the_sample: its end is the very moment of its last sample, and reported then.
    """

    render: Callable[[], Rendered]
    started: Callable[[float], None]
    ended: Callable[[float, bool, float], None]
    to_the_sample: bool = False
    cut: threading.Event = field(default_factory=threading.Event)


class Report:
    """Reports one piece: its start once, and its end once if it began."""

    def __init__(self, piece: Piece, clock: Clock) -> None:
        self.start: float | None = None
        self._piece = piece
        self._clock = clock
        self._ended = False

    def begun(self) -> None:
        """The first sample is on its way."""
        self.start = self._clock()
        self._piece.started(self.start)

    def over(self, seconds: float) -> None:
        """The last sample has been heard; the sound has so many seconds."""
        if self.start is None or self._ended:
            return
        self._ended = True
        late = self._clock() - self.start - seconds - _TOLD_AFTER
        late = round(late, 3) if late > _FALTERED else 0.0
        self._piece.ended(round(self.start + seconds + late, 4), True, late)

    def close(self, finished: bool) -> None:
        """Nothing more is to be heard of it."""
        if self.start is not None and not self._ended:
            self._ended = True
            self._piece.ended(self._clock(), finished, 0.0)
