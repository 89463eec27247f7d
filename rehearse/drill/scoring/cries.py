"""Every saying of a run, measured in the sound: when, how loud, how high, whether it clipped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.drill.scoring.rhythm import Saying
from rehearse.drill.scoring.shouts import Said
from rehearse.drill.scoring.telling import LOST
from rehearse.drill.values import Kind, Run
from rehearse.events import Overflow
from rehearse.hear.clipping import clipped
from rehearse.hear.level import speech_level
from rehearse.hear.onset import ending, onset
from rehearse.hear.pitch import pitch
from rehearse.hear.recogniser import Sound
from rehearse.measured import NOT_MEASURED, Measured

NO_SOUND = Measured(None, 0.0, "there is no sound")
BY_WORDS = 0.2  # seconds that a recogniser's time of a word may be off


@dataclass(frozen=True)
class Cry:
    """One saying, sorted and measured.

    visit: the index of the stage it came in; -1 before the first cue.
    level: dB over the calm voice, or over full scale without a baseline. pitch: hertz.
    """

    said: Said
    visit: int
    kind: Kind
    answer: str
    start: Measured
    end: Measured
    level: Measured = NOT_MEASURED
    pitch: Measured = NOT_MEASURED
    clipped: float = 0.0

    @property
    def begun(self) -> float:
        """When it began, seconds; by the recogniser where the sound does not tell."""
        return self.said.start if self.start.value is None else self.start.value

    @property
    def over(self) -> float:
        """When it ended, likewise."""
        end = self.said.end if self.end.value is None else self.end.value
        return max(end, self.begun)

    @property
    def saying(self) -> Saying:
        """When it was, for its rhythm."""
        return Saying(self.start, self.end)


class Measuring:
    """Measures sayings in the sound of a run.

    sound: the whole of it, mono; empty when it was not kept: times are then the recogniser's.
    """

    def __init__(self, run: Run, sound: Sound) -> None:
        self._sound = sound
        self._calm = run.calm
        self.lost = tuple(event for event in run.events if isinstance(event, Overflow))

    def start(self, said: Said, since: float) -> Measured:
        """When a saying begins that cannot begin before `since`, seconds."""
        if not self._sound.size:
            return Measured(said.start, BY_WORDS)
        return onset(self._sound, said.start, ends=said.first_end, since=since)

    def end(self, said: Said, until: float | None) -> Measured:
        """When it ends, not after `until`, seconds."""
        if not self._sound.size:
            return Measured(said.end, BY_WORDS)
        return ending(self._sound, said.end, until=until)

    def level(self, start: float, end: float) -> Measured:
        """Level between two times, dB over the calm voice where that is known."""
        if not self._sound.size:
            return NO_SOUND
        if self._touched(start, end):
            return Measured(None, 0.0, LOST)
        level = speech_level(self._sound, start, end)
        if level.value is None or self._calm.value is None:
            return level
        return Measured(level.value - self._calm.value, level.error + self._calm.error)

    def pitch(self, start: float, end: float) -> Measured:
        """Median pitch between two times, hertz."""
        if not self._sound.size:
            return NO_SOUND
        if self._touched(start, end):
            return Measured(None, 0.0, LOST)
        return pitch(self._sound, start, end)

    def clipped(self, start: float, end: float) -> float:
        """Share of the samples between two times at full scale, 0..1."""
        return clipped(self._sound, start, end)

    def _touched(self, start: float, end: float) -> bool:
        return any(start <= overflow.time <= end for overflow in self.lost)


def neighbours(sayings: Sequence[Said], at: int) -> tuple[float, float | None]:
    """The times that bound a saying: the end of the one before it, the start of the next."""
    before = sayings[at - 1].end if at else 0.0
    after = sayings[at + 1].start if at + 1 < len(sayings) else None
    return before, after
