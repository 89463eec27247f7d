"""The real voice: English on purpose, of the right length, never another prompt's sound."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from rehearse.errors import VoiceError
from rehearse.speak.cache import Cache
from rehearse.speak.process import WorkerProcess
from rehearse.speak.voice import InstalledVoice, Voice, chosen


@pytest.fixture
def voice(tmp_path: Path) -> Iterator[Voice]:
    """The real speech engine with an empty cache."""
    made = Voice("en", cache=Cache(tmp_path / "speech"))
    yield made
    made.close()


def test_speaks_english_though_another_voice_comes_first(voice: Voice) -> None:
    """The engine lists Afrikaans first; ours is chosen by language, and there is one."""
    listed = [InstalledVoice("gmw/af", "Afrikaans", ("af",)), *voice.installed()]
    assert chosen(listed, "en").speaks("en")


def test_each_text_gets_its_own_sound(voice: Voice) -> None:
    """Sounds never lag behind: a short text after a long one is short, time and again."""
    long = "Check both witness panes show the amber band and the sill lamp is lit. " * 2
    for number in ("One.", "Two.", "Three."):
        assert voice.render(long + number).seconds > 6.0
        assert voice.render(number).seconds < 1.5


def test_one_process_serves_many_texts(voice: Voice) -> None:
    """The engine is started once."""
    voice.render("One.")
    first = voice._process._running
    voice.render("Two.")
    assert voice._process._running is first


def test_an_engine_that_hangs_costs_one_wait(tmp_path: Path) -> None:
    """The real engine, frozen between two prompts, is replaced, and the prompt is spoken."""
    process = WorkerProcess(seconds=2.0)
    voice = Voice("en", cache=Cache(tmp_path), process=process)
    voice.render("One.")
    frozen = process._running
    assert frozen is not None
    os.kill(frozen.pid, signal.SIGSTOP)
    assert voice.render("Stand back from the door.").seconds > 1.0
    assert frozen.poll() is not None
    voice.close()


def test_the_same_text_comes_from_the_cache(voice: Voice, tmp_path: Path) -> None:
    """A text said before is there without the engine rendering it again, sample for sample."""
    sound = voice.render("What comes next?")
    (file,) = (tmp_path / "speech").glob("*.flac")
    voice._made = None  # type: ignore[method-assign, assignment]  # must not be called
    np.testing.assert_array_equal(voice.render("What  comes next?").samples, sound.samples)
    assert file.is_file()


def test_speaks_without_a_cache(tmp_path: Path) -> None:
    """A cache that cannot be written changes nothing but the time it takes."""
    (tmp_path / "speech").write_text("in the way")
    voice = Voice("en", cache=Cache(tmp_path / "speech"))
    assert voice.render("Stand back!").seconds > 0.5
    voice.close()


def test_a_slower_voice_takes_longer(tmp_path: Path) -> None:
    """The rate asked for is the rate that is spoken."""
    lengths = []
    for rate in (120, 180):
        voice = Voice("en", words_per_minute=rate, cache=Cache(tmp_path))
        lengths.append(voice.render("Turn the wheel half a turn and swing the door out.").seconds)
        voice.close()
    assert 1.3 < lengths[0] / lengths[1] < 1.7


def test_refuses_an_empty_prompt(voice: Voice) -> None:
    """There must be something to say."""
    with pytest.raises(VoiceError, match="no word to speak"):
        voice.render(" ... ")


def test_a_language_no_voice_speaks() -> None:
    """One line says what to install."""
    voices = [InstalledVoice("gmw/af", "Afrikaans", ("af",))]
    with pytest.raises(VoiceError, match="no installed voice speaks 'en'; install one"):
        chosen(voices, "en")


def test_any_variety_of_the_language_will_do() -> None:
    """Without a preferred voice the first of the language is taken, however its tag is spelt."""
    voices = [
        InstalledVoice("a", "Anna", ("de_DE",)),
        InstalledVoice("b", "Sam", ("en_US",)),
        InstalledVoice("c", "Kim", ("EN-gb",)),
    ]
    assert chosen(voices, "en").id == "b"


# Speaks half a second of a tone for any text, except that its first two sounds are cut off.
_CUTTING = """
import json, sys, numpy, soundfile
count = 0
for line in sys.stdin:
    asked = json.loads(line)
    if asked["do"] == "voices":
        answer = {"voices": [{"id": "x", "name": "X", "languages": ["en"]}]}
    else:
        count += 1
        length = 0.01 if count <= BAD else 0.5
        tone = 0.3 * numpy.sin(numpy.arange(int(22050 * length)) / 20)
        soundfile.write(asked["file"], tone, 22050)
        answer = {"file": asked["file"]}
    print(json.dumps(answer), flush=True)
"""


def cutting(bad: int, folder: Path) -> Voice:
    """A voice whose engine cuts its first sounds off."""
    program = _CUTTING.replace("BAD", str(bad))
    process = WorkerProcess((sys.executable, "-c", program))
    return Voice("en", cache=Cache(folder), process=process)


def test_a_sound_that_was_cut_off_is_made_again(tmp_path: Path) -> None:
    """A bad rendering is neither used nor kept."""
    voice = cutting(2, tmp_path)
    assert voice.render("Stand back.").seconds > 0.4
    voice.close()


def test_an_engine_that_always_cuts_off_is_an_error(tmp_path: Path) -> None:
    """After three tries the prompt is an error, and nothing bad was kept."""
    voice = cutting(99, tmp_path)
    with pytest.raises(VoiceError, match=r"gave 0\.0 s of sound"):
        voice.render("Stand back.")
    voice.close()
    assert list(tmp_path.iterdir()) == []
