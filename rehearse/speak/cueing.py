"""How a drill's cue sounds: its sound, then its words, as one piece."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from rehearse.coach.actions import GiveCue
from rehearse.cues.sounds import length, render
from rehearse.errors import VoiceError
from rehearse.speak.player import resampled
from rehearse.speak.sound import Rendered, Sound

_BETWEEN = 0.25  # seconds from the sound to the words


class Lines(Protocol):
    """Who says the words of cues; `rehearse.speak.cast.Cast` is one."""

    @property
    def trouble(self) -> str:
        """Why another voice than was asked for spoke last; "" when it did."""
        ...

    def render(self, text: str, voice: int = 1) -> Rendered:
        """The text as speech. Raises VoiceError."""
        ...


class Cueing:
    """Renders cues.

    lines: who says their words.
    longest: seconds that a sound goes on at most, however long the cue holds it; None: no limit.
        A trainee who may not be heard before it ends must not be made to wait.
    """

    def __init__(self, lines: Lines, longest: float | None = None) -> None:
        self.trouble = ""
        self._lines = lines
        self._longest = longest

    def render(self, cue: GiveCue) -> Rendered:
        """See the module. Where nobody can say the words the sound is heard alone.

        Raises:
            VoiceError: there is nothing to be heard.
        """
        self.trouble = ""
        sound = self._sound(cue) if cue.sound else None
        words = self._words(cue, alone=sound is None) if cue.says else None
        if sound is None or words is None:
            only = sound or words
            if only is None:
                raise VoiceError(f"the cue of {cue.stage} has neither sound nor words; add one")
            return only
        rate = max(sound.rate, words.rate)
        gap: Sound = np.zeros(int(_BETWEEN * rate), np.float32)
        whole = [resampled(sound, rate), gap, resampled(words, rate)]
        return Rendered(np.concatenate(whole), rate)

    def _words(self, cue: GiveCue, *, alone: bool) -> Rendered | None:
        try:
            words = self._lines.render(cue.says, cue.voice)
        except VoiceError as error:
            if alone:
                raise
            self.trouble = str(error)
            return None
        self.trouble = self._lines.trouble
        return words

    def _sound(self, cue: GiveCue) -> Rendered:
        seconds = length(cue.sound, cue.holds)
        return Rendered(*render(cue.sound, min(seconds, self._longest or seconds)))
