"""Sentences read aloud from the loudspeaker, one after another, until they are over."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from contextlib import closing

from rehearse.events import PromptEnded, PromptStarted
from rehearse.session.clock import SoundClock
from rehearse.session.practise import Tell
from rehearse.session.quiet import libraries_quiet
from rehearse.session.studio import Choices
from rehearse.speak.player import Loudspeaker
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice

LONGEST = 60.0  # seconds that one sentence may take


def read_aloud(sentences: Sequence[str], language: str, choices: Choices, tell: Tell) -> None:
    """Reads the sentences and returns when the last one is over.

    tell: told once why nothing can be heard; then the rest is left out.
    """
    ended = threading.Event()

    def prompted(event: PromptStarted | PromptEnded) -> None:
        if isinstance(event, PromptEnded):
            ended.set()

    voice = Voice(language)
    loudspeaker = Loudspeaker(choices.loudspeaker)
    with libraries_quiet(), closing(voice):
        speaker = Speaker(voice, loudspeaker, SoundClock(), prompted)
        with closing(speaker):
            for sentence in sentences:
                ended.clear()
                speaker.say(sentence, "review")
                ended.wait(LONGEST)
                if speaker.trouble:
                    tell(speaker.trouble)
                    return
