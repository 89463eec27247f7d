"""Clips are made where speech programs are, and used where they are not."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from rehearse.bench.ghosts import clips
from rehearse.bench.ghosts.clips import OWN, cast, speak, to_speak
from rehearse.bench.ghosts.ground import check, prompts
from rehearse.bench.ghosts.kinds import KINDS
from rehearse.bench.ghosts.people import everyday
from rehearse.errors import SoundError, VoiceError
from rehearse.hear.recogniser import RATE, Sound

SENTENCES = ("The soup was cold.", "It rained all day.", "He missed from two metres.")


def _told(_done: int) -> None:
    """Nobody is told."""


@pytest.fixture
def spoken(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, str]]:
    """All that was said by speech programs that cost nothing."""
    said: list[tuple[str, str]] = []

    def say(_self: object, voice: str, text: str) -> Sound:
        said.append((voice, text))
        time = np.arange(RATE // 4) / RATE
        return (0.1 * np.sin(2 * np.pi * 300 * time)).astype(np.float32)

    monkeypatch.setattr(clips._Speakers, "say", say)
    monkeypatch.setattr("rehearse.bench.ghosts.clips.shutil.which", lambda _program: "/bin/true")
    return said


def test_a_folder_is_made_and_then_used(tmp_path: Path, spoken: list[tuple[str, str]]) -> None:
    """The folder that was carried to another machine could not be read there."""
    folder = tmp_path / "clips"
    lines = list(to_speak(SENTENCES, ["What comes next?", "What comes next?"]))
    assert speak(folder, lines, _told) == len(lines) == len(spoken)
    heard = cast([folder], SENTENCES)
    assert heard.own is not None
    assert heard.own.say("What comes next?").seconds == pytest.approx(0.25, abs=0.02)
    assert OWN not in {voice.name for voice in heard.others}
    for sentence in SENTENCES:
        assert sum(sentence in voice.paths for voice in heard.others) == 3


def test_what_is_there_is_not_said_again(tmp_path: Path, spoken: list[tuple[str, str]]) -> None:
    """Every change of a sentence would cost all clips anew, or a clip would replace another."""
    lines = list(to_speak(SENTENCES[:2], []))
    speak(tmp_path, lines, _told)
    spoken.clear()
    more = list(to_speak(SENTENCES[:2], ["What comes next?"]))
    assert speak(tmp_path, more, _told) == 1
    assert spoken == [(OWN, "What comes next?")]
    rows = [json.loads(line) for line in (tmp_path / "lines.jsonl").read_text().splitlines()]
    assert len({row["id"] for row in rows}) == len(rows) == len(lines) + 1


def test_a_lost_clip_is_told_before_anything_is_heard(
    tmp_path: Path, spoken: list[tuple[str, str]]
) -> None:
    """A folder that was carried in part, or a book that has changed, would end an hour's run."""
    del spoken
    kinds = [KINDS["talk"], KINDS["own-muted"]]
    speak(tmp_path, [("ann", everyday()[0]), *((OWN, text) for text in prompts(0.5))], _told)
    check([tmp_path], kinds, 0.5)
    with pytest.raises(SoundError, match="own voice has not said"):
        check([tmp_path], kinds, 1.0)
    (tmp_path / "00000.ogg").unlink()
    with pytest.raises(SoundError, match=r"00000\.\w+: there is no such clip"):
        check([tmp_path], kinds, 0.5)


def test_clips_of_other_texts_are_no_talk(tmp_path: Path, spoken: list[tuple[str, str]]) -> None:
    """Clips of the procedure's own steps would be played as talk about something else."""
    del spoken
    speak(tmp_path, [("ann", "Door two left armed")], _told)
    assert cast([tmp_path], SENTENCES).others == ()


def test_without_programs_or_room_one_line_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoken: list[tuple[str, str]]
) -> None:
    """A machine without speech programs, or a path that is a file, would give a traceback."""
    del spoken
    (tmp_path / "file").write_text("x")
    with pytest.raises(SoundError, match="file: cannot be written"):
        speak(tmp_path / "file", [("ann", "x")], _told)
    monkeypatch.setattr("rehearse.bench.ghosts.clips.shutil.which", lambda _program: None)
    with pytest.raises(VoiceError, match="no speech program"):
        list(to_speak(SENTENCES, []))
