"""Says prompts and gives cues one after another in the background; reports when each begins, ends.

Where there is no voice or no loudspeaker the prompt goes out all the same: its events carry the
text, and whoever prints shows it.
"""

from __future__ import annotations

import queue
import threading
from typing import Protocol

from rehearse.coach.actions import GiveCue
from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.events import CueEnded, CueStarted, PromptEnded, PromptStarted
from rehearse.speak.piece import Clock, Cued, Emit, Piece, Report, untold
from rehearse.speak.player import Player
from rehearse.speak.sound import Rendered


class Renders(Protocol):
    """What a speaker needs of a voice."""

    def render(self, text: str) -> Rendered:
        """The text as speech. Raises VoiceError."""
        ...


class Cues(Protocol):
    """What a speaker needs to give cues; `rehearse.speak.cueing.Cueing` is one."""

    @property
    def trouble(self) -> str:
        """What a person should know of how the last cue sounded; "" when it was as written."""
        ...

    def render(self, cue: GiveCue) -> Rendered:
        """The cue's sound and words. Raises VoiceError."""
        ...


class Speaks(Protocol):
    """Something prompts can be given to, whether or not they can be heard."""

    @property
    def busy(self) -> bool:
        """A prompt is being spoken, or waits to be."""
        ...

    @property
    def trouble(self) -> str:
        """Why the last prompt was only shown; "" when it was spoken."""
        ...

    def say(self, text: str, purpose: str) -> None:
        """Speak the text after those already given. Returns at once."""
        ...

    def cue(self, cue: GiveCue) -> None:
        """Give a drill's cue after what was already given. Returns at once."""
        ...

    def stop(self) -> None:
        """Fall silent at once and forget what waits."""
        ...

    def close(self) -> None:
        """Fall silent for good."""
        ...


class SilentSpeaker:
    """Speaks nothing: each prompt begins and ends at once, to be shown.

    clock: seconds from the start of the take. emit, cued: take the events.
    """

    busy = False

    def __init__(self, clock: Clock, emit: Emit, trouble: str = "", cued: Cued = untold) -> None:
        self.trouble = trouble
        self._cued = cued
        self._clock = clock
        self._emit = emit

    def say(self, text: str, purpose: str) -> None:
        """Report the text as a prompt that takes no time."""
        self._emit(PromptStarted(self._clock(), text, purpose))
        self._emit(PromptEnded(self._clock()))

    def cue(self, cue: GiveCue) -> None:
        """Report the cue as one that takes no time."""
        self._cued(CueStarted(self._clock(), cue.stage, cue.told))
        self._cued(CueEnded(self._clock(), cue.stage))

    def stop(self) -> None:
        """Nothing to stop."""

    def close(self) -> None:
        """Nothing to end."""


class Speaker:
    """Speaks through a voice and a loudspeaker; `emit` is called from threads of its own.

    Every prompt that begins has one `PromptStarted` and then one `PromptEnded`, every cue one
    `CueStarted` and one `CueEnded`; one that was stopped before it began has neither. A start is
    reported before its first sample is heard and an end after its last one. The times of a cue
    are those at which the device was given its first and its last sample.

    voice, player: who renders and who plays.
    clock: seconds from the start of the take.
    emit: takes the events; it must return soon.
    cues: how cues sound; without it they are only shown. cued: takes their events, likewise.
    """

    def __init__(
        self,
        voice: Renders,
        player: Player,
        clock: Clock,
        emit: Emit,
        *,
        cues: Cues | None = None,
        cued: Cued = untold,
    ) -> None:
        self.trouble = ""
        self._cued = cued
        self._voice = voice
        self._cues = cues
        self._player = player
        self._clock = clock
        self._emit = emit
        self._waiting: queue.Queue[Piece | None] = queue.Queue()
        self._unfinished: list[Piece] = []
        self._lock = threading.Lock()
        self._closed = False
        self._thread = threading.Thread(target=self._run, daemon=True, name="speaker")
        self._thread.start()

    @property
    def busy(self) -> bool:
        """Something is being spoken, or waits to be; its end has not been reported yet."""
        with self._lock:
            return bool(self._unfinished)

    def render(self, text: str) -> Rendered:
        """The text as this speaker would say it. Raises VoiceError."""
        return self._voice.render(text)

    def say(self, text: str, purpose: str) -> None:
        """Speak the text after what was already given. Returns at once."""
        self._put(
            Piece(
                lambda: self._voice.render(text),
                lambda time: self._emit(PromptStarted(time, text, str(purpose))),
                lambda time, finished, _: self._emit(PromptEnded(time, finished)),
            )
        )

    def cue(self, cue: GiveCue) -> None:
        """Give the cue after what was already given. Returns at once."""
        self._put(
            Piece(
                lambda: self._rendered(cue),
                lambda time: self._cued(CueStarted(time, cue.stage, cue.told)),
                lambda time, finished, late: self._cued(CueEnded(time, cue.stage, finished, late)),
                to_the_sample=True,
            )
        )

    def stop(self) -> None:
        """Fall silent at once and forget what waits."""
        with self._lock:
            for piece in self._unfinished:
                piece.cut.set()

    def close(self) -> None:
        """Fall silent for good: what comes later is dropped.

        Returns when the last event is out, or after two seconds.
        """
        self.stop()
        with self._lock:
            self._closed = True
            self._waiting.put(None)
        if threading.current_thread() is not self._thread:
            self._thread.join(2.0)

    def _put(self, piece: Piece) -> None:
        with self._lock:
            if self._closed:
                return
            self._unfinished.append(piece)
            self._waiting.put(piece)

    def _rendered(self, cue: GiveCue) -> Rendered:
        if self._cues is None:
            raise VoiceError("cues are shown, not heard; give the speaker its cues")
        return self._cues.render(cue)

    def _run(self) -> None:
        while (piece := self._waiting.get()) is not None:
            try:
                self._play(piece)
            finally:
                with self._lock:
                    self._unfinished.remove(piece)

    def _play(self, piece: Piece) -> None:
        if piece.cut.is_set():
            return
        report = Report(piece, self._clock)
        try:
            sound = piece.render()
            if piece.cut.is_set():
                return
            self.trouble = self._cues.trouble if piece.to_the_sample and self._cues else ""
            if piece.to_the_sample:
                finished = self._player.play(
                    sound, report.begun, piece.cut, lambda: report.over(sound.seconds)
                )
            else:
                finished = self._player.play(sound, report.begun, piece.cut)
        except (VoiceError, SoundError) as error:
            finished = self._shown(error, piece, report)
        report.close(finished)

    def _shown(self, error: RehearseError, piece: Piece, report: Report) -> bool:
        """Let the piece go out as text; True when all of it did, False when it broke off."""
        self.trouble = str(error)
        if report.start is not None:
            return False
        if not piece.cut.is_set():
            report.begun()
        return True
