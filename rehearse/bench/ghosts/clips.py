"""The voices of other people and of the tool itself, as clips that a folder holds.

A folder is made where speech programs are and carried to where they are not.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Self

import numpy as np
import soundfile
import soxr

from rehearse.authoring.voices import SpeakingVoice
from rehearse.bench.drill_voices import LINES, Recorded, recorded
from rehearse.errors import SoundError, VoiceError
from rehearse.hear.recogniser import RATE, Sound
from rehearse.speak.cache import Cache
from rehearse.speak.voice import Voice

OWN = "own"  # the voice that the tool itself speaks with
LANGUAGE = "en"
_SMALL = 0.6  # how far the sound may be packed, 0..1: about 4 kB a second
_EACH = 3  # voices that say a sentence

PROGRAMS = (
    SpeakingVoice("flite", "slt"),
    SpeakingVoice("flite", "rms"),
    SpeakingVoice("flite", "awb"),
    SpeakingVoice("flite", "kal16"),
    SpeakingVoice("espeak-ng", "en-us+m1"),
    SpeakingVoice("espeak-ng", "en-gb+f4"),
    SpeakingVoice("espeak-ng", "en-gb-x-rp+m4"),
    SpeakingVoice("espeak-ng", "en-us+f2"),
    SpeakingVoice("espeak-ng", "en-gb-scotland+m6"),
    SpeakingVoice("espeak-ng", "en-gb+f5"),
    SpeakingVoice("espeak-ng", "en-us+klatt4"),
    SpeakingVoice("espeak-ng", "en-gb-x-gbcwmd+m5"),
)

Line = tuple[str, str]  # voice, text


@dataclass(frozen=True)
class Cast:
    """Who can be heard. others: people with something to say. own: the tool; None when absent."""

    others: tuple[Recorded, ...] = ()
    own: Recorded | None = None


def cast(folders: Iterable[Path], sentences: Sequence[str]) -> Cast:
    """The voices of these folders; of others only those that say one of the sentences.

    Raises:
        SoundError: a folder has no lines, or they cannot be read.
    """
    voices = [voice for folder in folders for voice in recorded(folder)]
    own = [voice for voice in voices if voice.name == OWN]
    known = set(sentences)
    others = [voice for voice in voices if voice.name != OWN and known & voice.paths.keys()]
    return Cast(tuple(others), own[-1] if own else None)


def to_speak(sentences: Sequence[str], prompts: Iterable[str]) -> Iterator[Line]:
    """All that is to be said: the tool's prompts, and each sentence by some of the programs.

    Raises:
        VoiceError: no speech program is installed.
    """
    voices = [voice for voice in PROGRAMS if shutil.which(voice.program)]
    if not voices:
        raise VoiceError(
            "no speech program is installed; install one ('apt-get install espeak-ng flite')"
        )
    for prompt in dict.fromkeys(prompts):
        yield OWN, prompt
    for number, sentence in enumerate(sentences):
        places = {(number + at * len(voices) // _EACH) % len(voices) for at in range(_EACH)}
        yield from ((str(voices[place]), sentence) for place in sorted(places))


def speak(folder: Path, lines: Sequence[Line], told: Callable[[int], None]) -> int:
    """Says what the folder does not hold yet and adds it; how many were said.

    told: given the number of lines that are there, now and then.

    Raises:
        VoiceError: a voice fails.
        SoundError: the folder cannot be read or written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = {(v.name, t) for v in recorded(folder) for t in v.paths} if _begun(folder) else ()
        missing = [line for line in lines if line not in there]
        with _Speakers() as speakers, (folder / LINES).open("a", encoding="utf-8") as file:
            for number, (voice, text) in enumerate(missing, len(there)):
                row = {"id": f"{number:05}", "text": text, "voice": voice}
                _write(folder / f"{row['id']}.ogg", speakers.say(voice, text))
                file.write(json.dumps(row) + "\n")
                told(number + 1)
    except OSError as error:
        raise SoundError(f"{folder}: cannot be written ({error.strerror}); name another") from None
    return len(missing)


class _Speakers:
    """Every voice by its name: the tool's and those of programs."""

    def __init__(self) -> None:
        self._programs = {str(voice): voice for voice in PROGRAMS}
        self._folder = tempfile.TemporaryDirectory()
        self._own = Voice(LANGUAGE, cache=Cache(Path(self._folder.name)))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        with closing(self._own), self._folder:
            pass

    def say(self, voice: str, text: str) -> Sound:
        """The text at `RATE`. Raises VoiceError."""
        if voice == OWN:
            made = self._own.render(text)
            return np.asarray(soxr.resample(made.samples, made.rate, RATE), np.float32)
        path = Path(self._folder.name) / "said.wav"
        self._programs[voice].say(text, path)
        sound, rate = soundfile.read(path, dtype="float32", always_2d=True)
        return np.asarray(soxr.resample(sound.mean(axis=1), rate, RATE), np.float32)


def _begun(folder: Path) -> bool:
    path = folder / LINES
    return path.exists() and bool(path.read_text("utf-8").strip())


def _write(path: Path, sound: Sound) -> None:
    soundfile.write(path, sound, RATE, format="OGG", subtype="VORBIS", compression_level=_SMALL)
