"""The voices that shout in the measurement of drills."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from rehearse.bench.drill_voices import PROGRAMS, lines_to_say, recorded
from rehearse.errors import SoundError
from rehearse.fit.garbles import VOICES
from rehearse.hear.recogniser import RATE


def folder_with(tmp_path: Path, lines: str) -> Path:
    """A folder of clips with these lines."""
    (tmp_path / "lines.jsonl").write_text(lines, "utf-8")
    return tmp_path


def test_clips_are_found_by_voice_and_text(tmp_path: Path) -> None:
    """Somebody's own clips could not be measured with."""
    lines = list(lines_to_say(["Turn back!", "Keep going!"], ["ann", "ben"]))
    folder = folder_with(tmp_path, "\n".join(lines) + "\n")
    for number, line in enumerate(lines):
        time = np.arange(RATE * (3 + number) // 10) / RATE
        soundfile.write(folder / f"{json.loads(line)['id']}.wav", 0.1 * np.sin(1600 * time), RATE)
    ann, ben = recorded(folder)
    assert (ann.name, ben.name) == ("ann", "ben")
    assert ann.say("Keep going!").seconds == pytest.approx(0.4, abs=0.01)
    assert ben.say("Turn back!").seconds == pytest.approx(0.5, abs=0.01)


def test_what_is_wrong_with_a_folder_of_clips_is_said(tmp_path: Path) -> None:
    """A mistyped line would end in a traceback, or a voice would fall silent."""
    with pytest.raises(SoundError, match=r"lines\.jsonl: cannot be read"):
        recorded(tmp_path)
    with pytest.raises(SoundError, match=r"lines\.jsonl: holds no line"):
        recorded(folder_with(tmp_path, "\n"))
    with pytest.raises(SoundError, match=r"lines\.jsonl:2: not an object"):
        recorded(folder_with(tmp_path, next(lines_to_say(["Turn back!"], ["ann"])) + "\n[1]\n"))
    (ann,) = recorded(folder_with(tmp_path, next(lines_to_say(["Turn back!"], ["ann"]))))
    with pytest.raises(SoundError, match="nobody has said 'Keep going!'"):
        ann.say("Keep going!")
    with pytest.raises(SoundError, match=r"ann-01\.wav: cannot be read as sound"):
        ann.say("Turn back!")


def test_the_voices_were_not_used_for_fitting() -> None:
    """The figures would be those of voices that the judges have learnt from."""
    assert len(set(PROGRAMS)) == 8
    assert not {voice.name for voice in PROGRAMS} & {voice.name for voice in VOICES}
