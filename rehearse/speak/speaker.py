"""Says one prompt after another in the background and reports when each begins and ends.

Where there is no voice or no loudspeaker the prompt goes out all the same: its events carry the
text, and whoever prints shows it.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.events import PromptEnded, PromptStarted
from rehearse.speak.player import Player
from rehearse.speak.sound import Rendered

Emit = Callable[[PromptStarted | PromptEnded], None]
Clock = Callable[[], float]


class Renders(Protocol):
    """What a speaker needs of a voice."""

    def render(self, text: str) -> Rendered:
        """The text as speech. Raises VoiceError."""
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

    def stop(self) -> None:
        """Fall silent at once and forget what waits."""
        ...

    def close(self) -> None:
        """Fall silent for good."""
        ...


class SilentSpeaker:
    """Speaks nothing: each prompt begins and ends at once, to be shown.

    clock: seconds from the start of the take. emit: takes the events.
    """

    busy = False

    def __init__(self, clock: Clock, emit: Emit, trouble: str = "") -> None:
        self.trouble = trouble
        self._clock = clock
        self._emit = emit

    def say(self, text: str, purpose: str) -> None:
        """Report the text as a prompt that takes no time."""
        self._emit(PromptStarted(self._clock(), text, purpose))
        self._emit(PromptEnded(self._clock()))

    def stop(self) -> None:
        """Nothing to stop."""

    def close(self) -> None:
        """Nothing to end."""


@dataclass(frozen=True, eq=False)
class _Prompt:
    text: str
    purpose: str
    cut: threading.Event = field(default_factory=threading.Event)


class Speaker:
    """Speaks through a voice and a loudspeaker; `emit` is called from threads of its own.

    Every prompt that begins has one `PromptStarted` and then one `PromptEnded`; one that was
    stopped before it began has neither. A start is reported before its first sample is heard
    and an end after its last one.

    voice, player: who renders and who plays.
    clock: seconds from the start of the take.
    emit: takes the events; it must return soon.
    """

    def __init__(self, voice: Renders, player: Player, clock: Clock, emit: Emit) -> None:
        self.trouble = ""
        self._voice = voice
        self._player = player
        self._clock = clock
        self._emit = emit
        self._waiting: queue.Queue[_Prompt | None] = queue.Queue()
        self._unfinished: list[_Prompt] = []
        self._lock = threading.Lock()
        self._closed = False
        self._thread = threading.Thread(target=self._run, daemon=True, name="speaker")
        self._thread.start()

    @property
    def busy(self) -> bool:
        """A prompt is being spoken, or waits to be; its end has not been reported yet."""
        with self._lock:
            return bool(self._unfinished)

    def render(self, text: str) -> Rendered:
        """The text as this speaker would say it. Raises VoiceError."""
        return self._voice.render(text)

    def say(self, text: str, purpose: str) -> None:
        """Speak the text after those already given. Returns at once."""
        prompt = _Prompt(text, str(purpose))
        with self._lock:
            if self._closed:
                return
            self._unfinished.append(prompt)
            self._waiting.put(prompt)

    def stop(self) -> None:
        """Fall silent at once and forget what waits."""
        with self._lock:
            for prompt in self._unfinished:
                prompt.cut.set()

    def close(self) -> None:
        """Fall silent for good: later prompts are dropped.

        Returns when the last event is out, or after two seconds.
        """
        self.stop()
        with self._lock:
            self._closed = True
            self._waiting.put(None)
        if threading.current_thread() is not self._thread:
            self._thread.join(2.0)

    def _run(self) -> None:
        while (prompt := self._waiting.get()) is not None:
            try:
                self._speak(prompt)
            finally:
                with self._lock:
                    self._unfinished.remove(prompt)

    def _speak(self, prompt: _Prompt) -> None:
        if prompt.cut.is_set():
            return
        began = threading.Event()

        def begun() -> None:
            began.set()
            self._emit(PromptStarted(self._clock(), prompt.text, prompt.purpose))

        try:
            sound = self._voice.render(prompt.text)
            if prompt.cut.is_set():
                return
            finished = self._player.play(sound, begun, prompt.cut)
            self.trouble = ""
        except (VoiceError, SoundError) as error:
            finished = self._shown(error, prompt, begun, began)
        if began.is_set():
            self._emit(PromptEnded(self._clock(), finished))

    def _shown(
        self,
        error: RehearseError,
        prompt: _Prompt,
        begun: Callable[[], None],
        began: threading.Event,
    ) -> bool:
        """Let the prompt go out as text; True when all of it did, False when it broke off."""
        self.trouble = str(error)
        if began.is_set():
            return False
        if not prompt.cut.is_set():
            begun()
        return True
