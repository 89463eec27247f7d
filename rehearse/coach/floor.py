"""Who is speaking: the trainee, the tool or nobody, and since when it has been quiet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rehearse.coach.actions import Tick
from rehearse.coach.pace import LOST_PROMPT, LOST_SPEECH
from rehearse.events import (
    Ended,
    Event,
    Ghost,
    Heard,
    Listening,
    Partial,
    PromptEnded,
    PromptStarted,
    Requested,
    SpeechStarted,
)


@dataclass(frozen=True)
class Floor:
    """Who has the floor. Times are seconds from the start of the take.

    onsets: when each utterance began that has begun and is not yet understood; several, since
        one may begin while the one before it is still being decoded.
    alive: when an open utterance last gave a sign of life.
    asked: when the coach asked for a prompt that has not begun; None when there is none.
    prompt: when the prompt began that is being spoken; None when there is none.
    quiet_since: when the trainee or the tool last stopped speaking.
    """

    onsets: tuple[float, ...] = ()
    alive: float = 0.0
    asked: float | None = None
    prompt: float | None = None
    quiet_since: float = 0.0

    @property
    def trainee_speaks(self) -> bool:
        """The trainee is in mid-utterance, or an utterance is still being decoded."""
        return bool(self.onsets)

    @property
    def tool_speaks(self) -> bool:
        """A prompt is being spoken or about to be."""
        return self.asked is not None or self.prompt is not None

    @property
    def free(self) -> bool:
        """Nobody speaks, so the coach may."""
        return not self.trainee_speaks and not self.tool_speaks

    def pause(self, now: float) -> float:
        """Seconds since anybody last spoke."""
        return max(0.0, now - self.quiet_since)

    def asking(self, now: float) -> Floor:
        """The floor once a prompt has been asked for."""
        return replace(self, asked=now)

    def hushed(self) -> Floor:
        """The floor once the tool was told to stop; a prompt that had begun still has to end."""
        return replace(self, asked=None)

    def after(self, now: float, event: Event | Tick) -> Floor:
        """The floor after an event."""
        floor = _without_lost(self, now)
        quiet = floor.quiet_since
        match event:
            case SpeechStarted(time=onset):
                floor = replace(floor, onsets=(*floor.onsets, onset), alive=now)
            case Partial():
                floor = replace(floor, alive=now)
            case Heard(end=end) | Requested(time=end):
                floor = replace(_closed(floor, end), quiet_since=max(quiet, end))
            case Ghost(end=end):
                floor = _closed(floor, end)
            case PromptStarted(time=begun):
                floor = replace(floor, asked=None, prompt=begun)
            case PromptEnded(time=ended):
                floor = replace(floor, prompt=None, quiet_since=max(quiet, ended))
            case Listening(time=begun):
                floor = replace(floor, quiet_since=max(quiet, begun))
            case Ended():
                floor = replace(floor, onsets=())
        return floor


def _closed(floor: Floor, end: float) -> Floor:
    """Without the utterances that began before `end`; a later one stays open."""
    return replace(floor, onsets=tuple(onset for onset in floor.onsets if onset > end))


def _without_lost(floor: Floor, now: float) -> Floor:
    """Without an utterance or prompt whose end never came: a lost event must not silence us."""
    if floor.onsets and now - floor.alive > LOST_SPEECH:
        floor = replace(floor, onsets=(), quiet_since=max(floor.quiet_since, floor.alive))
    if floor.asked is not None and now - floor.asked > LOST_PROMPT:
        floor = replace(floor, asked=None)
    if floor.prompt is not None and now - floor.prompt > LOST_PROMPT:
        floor = replace(floor, prompt=None)
    return floor
