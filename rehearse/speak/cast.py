"""The voices of a drill's cast: each one different from the coach's, who falls in for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from rehearse.errors import VoiceError
from rehearse.speak.cache import Cache
from rehearse.speak.process import WorkerProcess
from rehearse.speak.sound import Rendered
from rehearse.speak.voice import InstalledVoice, Voice, chosen

WORDS_PER_MINUTE = 155  # colleagues under way speak faster than a coach

# Of espeak-ng's voices and variants those that Whisper base misheard least in sentences of cues
# (10 to 15 words of 38; the coach's own voice 10), women's and men's in turn.
_ENGLISH = (
    "gmw/en+f2",
    "gmw/en-us+m7",
    "gmw/en-us+f2",
    "gmw/en-us+m1",
    "gmw/en+f5",
    "gmw/en-gb-x-gbclan+m2",
    "gmw/en+f3",
    "gmw/en-gb-x-rp+m3",
)
_VARIANTS = tuple(dict.fromkeys(voice.partition("+")[2] for voice in _ENGLISH))
_ESPEAK = "gmw/en"  # an id that only this engine has


class Coach(Protocol):
    """What the cast needs of the coach's voice; `rehearse.speak.voice.Voice` is one."""

    language: str

    def installed(self) -> tuple[InstalledVoice, ...]:
        """Every voice of the speech engine. Raises VoiceError."""
        ...

    def render(self, text: str) -> Rendered:
        """The text as the coach says it. Raises VoiceError."""
        ...


def voices(installed: Sequence[InstalledVoice], language: str) -> tuple[str, ...]:
    """Ids of the cast's voices, the first one for voice 1; none is the coach's. May be empty.

    Raises:
        VoiceError: no installed voice speaks the language.
    """
    coach = chosen(installed, language).id
    ids = {voice.id for voice in installed}
    if _ESPEAK not in ids:
        return tuple(v.id for v in installed if v.speaks(language) and v.id != coach)
    if language == "en":
        return tuple(voice for voice in _ENGLISH if voice.partition("+")[0] in ids)
    return tuple(f"{coach}+{variant}" for variant in _VARIANTS)


class Cast:
    """Speaks for everybody in a drill but the coach.

    coach: whose voice it is not, and who speaks where the engine has no other.
    trouble: why the coach spoke the last line; "" when the cast did.
    """

    def __init__(
        self, coach: Coach, *, cache: Cache | None = None, process: WorkerProcess | None = None
    ) -> None:
        self.trouble = ""
        self._coach = coach
        self._cache = cache or Cache()
        self._process = process or WorkerProcess()
        self._ids: tuple[str, ...] | None = None
        self._lost: dict[int, str] = {}  # voices that failed, and why: they are not tried again

    def render(self, text: str, voice: int = 1) -> Rendered:
        """The text in one of the cast's voices, counted from 1; more than there are go round.

        Raises:
            VoiceError: not even the coach can say it.
        """
        try:
            sound = self._voice(voice).render(text)
        except VoiceError as error:
            self._lost.setdefault(voice, str(error))
            self.trouble = f"voice {voice} of the cast: {self._lost[voice]}; the coach speaks"
            return self._coach.render(text)
        self.trouble = ""
        return sound

    def prepare(self, lines: Iterable[tuple[str, int]]) -> None:
        """Render lines (text, voice) beforehand, so that none is waited for in a drill."""
        for text, voice in lines:
            self.render(text, voice)

    def close(self) -> None:
        """End the speech engine's process."""
        self._process.close()

    def _voice(self, voice: int) -> Voice:
        """Raises VoiceError when there is none but the coach's."""
        if voice in self._lost:
            raise VoiceError(self._lost[voice])
        if self._ids is None:
            self._ids = voices(self._coach.installed(), self._coach.language)
        if not self._ids:
            raise VoiceError("no second voice is installed; install one with the system")
        return Voice(
            self._coach.language,
            words_per_minute=WORDS_PER_MINUTE,
            cache=self._cache,
            process=self._process,
            voice_id=self._ids[(voice - 1) % len(self._ids)],
        )
