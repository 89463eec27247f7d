"""The cast: voices apart from the coach's, who falls in where there is none; cues put together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from rehearse.coach.actions import GiveCue
from rehearse.cues.sounds import length
from rehearse.errors import VoiceError
from rehearse.speak.cache import Cache
from rehearse.speak.cast import Cast, voices
from rehearse.speak.cueing import Cueing
from rehearse.speak.process import WorkerProcess
from rehearse.speak.sound import Rendered
from rehearse.speak.voice import InstalledVoice, Voice

ESPEAK = tuple(
    InstalledVoice(name, name, (tag,))
    for name, tag in (("gmw/en", "en-gb"), ("gmw/en-us", "en-us"), ("ko", "ko"))
)
LINE = "Door two left is jammed."


class FakeCoach:
    """A coach whose voice is one second of ones; `voices` is what is installed."""

    language = "en"

    def __init__(self, *installed: InstalledVoice) -> None:
        self._installed = installed

    def installed(self) -> tuple[InstalledVoice, ...]:
        """See `rehearse.speak.cast.Coach`."""
        return self._installed

    def render(self, _text: str) -> Rendered:
        """Likewise."""
        return Rendered(np.ones(22050, np.float32), 22050)


@pytest.fixture(scope="module")
def cast(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Cast, Voice]]:
    """A cast with the machine's own speech engine, and its coach."""
    cache, process = Cache(tmp_path_factory.mktemp("speech")), WorkerProcess()
    coach = Voice("en", cache=cache, process=process)
    yield Cast(coach, cache=cache, process=process), coach
    process.close()


def hertz(sound: Rendered) -> float:
    """The median pitch of a voice, by the autocorrelation of its loud pieces."""
    width = sound.rate // 20
    found = []
    for at in range(0, len(sound.samples) - width, width):
        piece = sound.samples[at : at + width].astype(np.float64)
        if np.sqrt(np.mean(piece**2)) < 0.03:
            continue
        alike = np.correlate(piece, piece, "full")[width - 1 :] / np.sum(piece**2)
        low, high = sound.rate // 400, sound.rate // 60
        best = low + int(np.argmax(alike[low:high]))
        if alike[best] > 0.5:
            found.append(sound.rate / best)
    return float(np.median(found))


def test_nobody_of_the_cast_has_the_coachs_voice() -> None:
    """A trainee could not tell a colleague's order from the coach's help."""
    for language, coach in (("en", "gmw/en"), ("ko", "ko")):
        found = voices(ESPEAK, language)
        assert len(found) >= 5
        assert len(set(found)) == len(found)
        assert coach not in found


def test_another_engines_voices_are_taken_as_they_are() -> None:
    """Where variants are unknown, only voices that are installed may be named."""
    installed = [InstalledVoice(name, name, ("en-gb",)) for name in ("Ann", "Ben", "Cleo")]
    assert voices(installed, "en") == ("Ben", "Cleo")
    assert voices(installed[:1], "en") == ()


def test_the_cast_sounds_unlike_the_coach(cast: tuple[Cast, Voice]) -> None:
    """The first voice is clearly higher than the coach's, and the second is another one again."""
    players, coach = cast
    first, second, own = players.render(LINE, 1), players.render(LINE, 2), coach.render(LINE)
    assert players.trouble == ""
    assert hertz(first) > 1.4 * hertz(own)
    sounds = [sound.samples[:8000] for sound in (first, second, own)]
    assert not np.array_equal(sounds[1], sounds[2])
    assert not np.array_equal(sounds[0], sounds[1])


def test_voices_go_round(cast: tuple[Cast, Voice]) -> None:
    """A drill with more roles than voices still speaks."""
    players, _ = cast
    count = len(voices(players._coach.installed(), "en"))
    assert np.array_equal(players.render(LINE, 1).samples, players.render(LINE, 1 + count).samples)


def test_where_there_is_no_second_voice_the_coach_speaks() -> None:
    """The cue is heard all the same, and one line says that it is not the colleague's voice."""
    players = Cast(FakeCoach(InstalledVoice("Ann", "Ann", ("en-gb",))))
    assert players.render(LINE, 2).seconds == 1.0
    assert "voice 2" in players.trouble
    assert "the coach speaks" in players.trouble


def test_a_voice_that_fails_is_not_waited_for_twice(tmp_path: Path) -> None:
    """A hung engine would hold up every cue of the drill."""

    class Refusing(WorkerProcess):
        asked = 0

        def ask(self, _question: object) -> dict[str, object]:
            """Count, and fail."""
            self.asked += 1
            raise VoiceError("the speech engine hangs")

    process = Refusing()
    players = Cast(FakeCoach(*ESPEAK), cache=Cache(tmp_path), process=process)
    players.render(LINE, 1)
    before = process.asked
    assert players.render("Another line.", 1).seconds == 1.0
    assert process.asked == before
    assert "hangs" in players.trouble


def cue(**parts: object) -> GiveCue:
    """A cue of the stage `signal`."""
    return GiveCue("signal", "told", **parts)  # type: ignore[arg-type]


def test_a_cue_is_its_sound_and_then_its_words() -> None:
    """Words over the horn would not be understood; words before it would give it away."""
    cueing = Cueing(Cast(FakeCoach(InstalledVoice("Ann", "Ann", ("en-gb",)))))
    both = cueing.render(cue(sound="chime-high", says=LINE))
    assert both.seconds == pytest.approx(length("chime-high") + 0.25 + 1.0, abs=0.01)
    tail = both.samples[-int(0.9 * both.rate) : -int(0.05 * both.rate)]
    assert np.allclose(tail, 1.0, atol=0.05)
    assert "coach speaks" in cueing.trouble
    assert cueing.render(cue(sound="chime-high")).seconds == pytest.approx(length("chime-high"))
    assert cueing.trouble == ""


def test_a_sound_is_cut_to_what_the_session_allows() -> None:
    """Through a loudspeaker nobody is heard until the cue is over: it must not go on for long."""
    lines = Cast(FakeCoach(*ESPEAK))
    assert Cueing(lines, 2.0).render(cue(sound="water", holds=9.0)).seconds == pytest.approx(2.0)
    assert Cueing(lines).render(cue(sound="water", holds=9.0)).seconds == pytest.approx(9.0)
    chime = length("chime-high")
    assert Cueing(lines, 2.0).render(cue(sound="chime-high")).seconds == pytest.approx(chime)


def test_a_cue_of_nothing_is_refused() -> None:
    """Silence as a cue would be waited for as if it had been heard."""
    with pytest.raises(VoiceError, match="neither sound nor words"):
        Cueing(Cast(FakeCoach(*ESPEAK))).render(cue())


class Mute:
    """Nobody can say anything."""

    trouble = ""

    def render(self, _text: str, _voice: int = 1) -> Rendered:
        """See `rehearse.speak.cueing.Lines`."""
        raise VoiceError("no voice is installed")


def test_without_a_voice_the_sound_is_heard_alone() -> None:
    """The horn needs no speech engine; the words are read, and one line says why."""
    cueing = Cueing(Mute())
    heard = cueing.render(cue(sound="water", says=LINE))
    assert heard.seconds == pytest.approx(length("water"))
    assert cueing.trouble == "no voice is installed"
    with pytest.raises(VoiceError, match="no voice is installed"):
        cueing.render(cue(says=LINE))
