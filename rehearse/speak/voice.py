"""The tool's voice: a text in, checked sound out, whatever the speech engine does meanwhile."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from rehearse.coach.pace import WORDS_PER_MINUTE
from rehearse.errors import VoiceError
from rehearse.speak.cache import Cache
from rehearse.speak.process import WorkerProcess
from rehearse.speak.sound import Rendered, read, trimmed, verified
from rehearse.speak.wording import spoken

# Where an engine offers several voices of a language: the clearest first. Compared here by how
# many words Whisper base misheard in the tool's own prompts; they differ little at 125 to 165
# words a minute, and the British ones were best.
PREFERRED = {"en": ("gmw/en", "gmw/en-gb-x-rp", "gmw/en-us", "english")}
_TRIES = 3  # an engine that cuts a sound short once does not do so again


@dataclass(frozen=True)
class InstalledVoice:
    """One voice of the speech engine. languages: tags such as "en-gb", as the engine has them."""

    id: str
    name: str
    languages: tuple[str, ...]

    def speaks(self, language: str) -> bool:
        """Whether one of its tags is the language or a variety of it."""
        tags = (tag.lower().replace("_", "-") for tag in self.languages)
        return any(tag.split("-")[0] == language for tag in tags)


def chosen(voices: Sequence[InstalledVoice], language: str) -> InstalledVoice:
    """The voice to use for a language.

    Raises:
        VoiceError: none of them speaks it.
    """
    fit = [voice for voice in voices if voice.speaks(language)]
    for wanted in PREFERRED.get(language, ()):
        for voice in fit:
            if voice.id == wanted:
                return voice
    if not fit:
        raise VoiceError(
            f"no installed voice speaks '{language}'; install one ('apt-get install espeak-ng')"
        )
    return fit[0]


class Voice:
    """One language's voice. The speech engine starts with the first text not kept before.

    language: ISO 639-1 code.
    words_per_minute: how fast it speaks.
    cache, process: where sounds are kept, and who makes them.
    voice_id: which of the engine's voices; "" for the one that `chosen` takes.
    """

    def __init__(
        self,
        language: str = "en",
        *,
        words_per_minute: int = WORDS_PER_MINUTE,
        cache: Cache | None = None,
        process: WorkerProcess | None = None,
        voice_id: str = "",
    ) -> None:
        self.language = language
        self.words_per_minute = words_per_minute
        self._cache = cache or Cache()
        self._process = process or WorkerProcess()
        self._voice_id = voice_id

    def installed(self) -> tuple[InstalledVoice, ...]:
        """Every voice of the speech engine. Raises VoiceError when there is no engine."""
        rows = self._process.ask({"do": "voices"})["voices"]
        return tuple(
            InstalledVoice(row["id"], row["name"], tuple(row["languages"])) for row in rows
        )

    def render(self, text: str) -> Rendered:
        """The text as speech.

        Raises:
            VoiceError: there is no voice, it hangs, or what it gives is not this text.
        """
        words = spoken(text, self.language)
        if not any(mark.isalnum() for mark in words):
            raise VoiceError("there is no word to speak in an empty prompt")
        if not self._voice_id:
            self._voice_id = chosen(self.installed(), self.language).id
        key = (metadata.version("pyttsx3"), self._voice_id, self.words_per_minute, words)
        kept = self._cache.fetch(*key)
        if kept is not None:
            return kept
        sound = self._made(words, self._voice_id)
        self._cache.keep(sound, *key)
        return sound

    def _made(self, words: str, voice_id: str) -> Rendered:
        for tries_left in reversed(range(_TRIES)):
            try:
                return self._made_once(words, voice_id)
            except VoiceError:
                if not tries_left:
                    raise
        raise AssertionError("unreachable")

    def _made_once(self, words: str, voice_id: str) -> Rendered:
        with tempfile.TemporaryDirectory(prefix="rehearse-", ignore_cleanup_errors=True) as folder:
            file = Path(folder) / "speech.wav"
            question = {"do": "speak", "text": words, "voice": voice_id, "file": str(file)}
            self._process.ask({**question, "rate": self.words_per_minute})
            sound = trimmed(read(file))
        return verified(sound, words, self.words_per_minute)

    def close(self) -> None:
        """End the speech engine's process."""
        self._process.close()
