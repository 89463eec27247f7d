"""A guide through a measurement: every sentence is shown, and spoken where it can be."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from rehearse.coach.debrief import speaking_seconds
from rehearse.coach.pace import WORDS_PER_MINUTE
from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.session.recorder import Recorder
from rehearse.speak.player import Player
from rehearse.speak.sound import Rendered
from rehearse.speak.speaker import Renders

Show = Callable[[str], None]


class Guide:
    """Leads a person through a measurement.

    show: shown every sentence. tell: told once each why sentences cannot be heard.
    silent: nothing can be played, so that there is no loudspeaker.
    """

    def __init__(
        self, voice: Renders, player: Player, heard: Recorder, show: Show, tell: Show
    ) -> None:
        self.show = show
        self.tell = tell
        self.silent = False
        self._voice = voice
        self._player = player
        self._heard = heard
        self._told: set[str] = set()

    def say(self, text: str) -> tuple[float, Rendered] | None:
        """Shows a sentence and speaks it, or leaves the time to read it.

        The second of the recording at which the device was given it, and its sound; None when it
        was not spoken.
        """
        self.show(text)
        spoken = None
        try:
            spoken = self.play(self._voice.render(text))
        except VoiceError as error:
            self._tell_once(error)
        if spoken is None:
            time.sleep(speaking_seconds(text, WORDS_PER_MINUTE))
        return spoken

    def play(self, sound: Rendered) -> tuple[float, Rendered] | None:
        """Plays a sound; as `say`."""
        if self.silent:
            return None
        given: list[float] = []
        try:
            self._player.play(sound, lambda: given.append(self._heard.clock()), threading.Event())
        except SoundError as error:
            self.silent = True
            self._tell_once(error)
            return None
        return (given[0], sound) if given else None

    def _tell_once(self, error: RehearseError) -> None:
        if str(error) not in self._told:
            self._told.add(str(error))
            self.tell(str(error))
