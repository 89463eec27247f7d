"""The voices that shout in the measurement of drills: speech programs, or clips from a folder."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import soundfile
import soxr

from rehearse.authoring.voices import SpeakingVoice
from rehearse.bench.shouting import Clip, clip
from rehearse.errors import SoundError
from rehearse.hear.recogniser import RATE

LINES = "lines.jsonl"
SUFFIXES = (".wav", ".flac", ".ogg")  # of clips

# None of them was used to fit anything.
PROGRAMS = tuple(
    SpeakingVoice("espeak-ng", name)
    for name in (
        "en-us+m1",
        "en-gb+f4",
        "en-gb-x-rp+m4",
        "en-us+f1",
        "en-gb-scotland+m6",
        "en-gb+f5",
        "en-gb-x-gbcwmd+m5",
        "en-us+f2",
    )
)


class Shouter(Protocol):
    """Somebody who says what they are told, always in the same way."""

    @property
    def name(self) -> str:
        """What the voice is called in the figures."""
        ...

    def say(self, text: str) -> Clip:
        """The text as this voice says it. Raises RehearseError when it cannot."""
        ...


@dataclass(frozen=True)
class Synthetic:
    """A voice of a speech program."""

    voice: SpeakingVoice

    @property
    def name(self) -> str:
        """The program and its voice."""
        return str(self.voice)

    def say(self, text: str) -> Clip:
        """Synthesised once a text. Raises VoiceError when the program is missing or fails."""
        return _synthesised(self.voice, text)


def synthetic() -> tuple[Synthetic, ...]:
    """The voices that shout when no clips are given."""
    return tuple(map(Synthetic, PROGRAMS))


@cache
def _synthesised(voice: SpeakingVoice, text: str) -> Clip:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        voice.say(text, path)
        return _read(path)


@dataclass(frozen=True)
class Recorded:
    """A voice of which every text lies in a folder."""

    name: str
    paths: Mapping[str, Path]

    def say(self, text: str) -> Clip:
        """The clip of that text. Raises SoundError when there is none, or it cannot be used."""
        path = self.paths.get(text)
        if path is None:
            raise SoundError(f"{self.name}: nobody has said {text!r}; add it to {LINES} and say it")
        return _read(path)


@cache
def _read(path: Path) -> Clip:
    try:
        sound, rate = soundfile.read(path, dtype="float32", always_2d=True)
        return clip(soxr.resample(sound.mean(axis=1, dtype=np.float32), rate, RATE))
    except (OSError, soundfile.LibsndfileError):
        raise SoundError(f"{path}: cannot be read as sound; say it anew") from None
    except ValueError:
        raise SoundError(f"{path}: the clip is silent; say it anew") from None


def recorded(folder: Path) -> tuple[Recorded, ...]:
    """The voices of a folder of clips, in the order of their lines.

    `lines.jsonl` in it has a line {"id", "text", "voice"} for each clip `ID.wav`, `ID.flac` or
    `ID.ogg`.

    Raises:
        SoundError: there is no such file, no line, or a line that is not such an object.
    """
    path = folder / LINES
    try:
        rows = path.read_text("utf-8").splitlines()
    except OSError as error:
        raise SoundError(f"{path}: cannot be read ({error.strerror}); see the help") from None
    found: dict[str, dict[str, Path]] = {}
    for number, line in enumerate(rows, 1):
        if line.strip():
            row = _row(line, f"{path}:{number}")
            found.setdefault(row["voice"], {})[row["text"]] = _clip_file(folder, row["id"])
    if not found:
        raise SoundError(f"{path}: holds no line; write one for each clip, see the help")
    return tuple(Recorded(name, paths) for name, paths in found.items())


def _clip_file(folder: Path, name: str) -> Path:
    files = [folder / f"{name}{suffix}" for suffix in SUFFIXES]
    return next((file for file in files if file.exists()), files[0])


def _row(line: str, place: str) -> Mapping[str, str]:
    try:
        row: Any = json.loads(line)
    except ValueError:
        row = None
    if not isinstance(row, dict) or not all(
        isinstance(row.get(key), str) for key in ("id", "text", "voice")
    ):
        raise SoundError(f'{place}: not an object {{"id", "text", "voice"}}; write it so')
    return row


def lines_to_say(texts: Sequence[str], voices: Sequence[str]) -> Iterator[str]:
    """A `lines.jsonl` for these voices, to be given to whatever makes the clips."""
    for voice in voices:
        for number, text in enumerate(texts, 1):
            yield json.dumps({"id": f"{voice}-{number:02}", "text": text, "voice": voice})
