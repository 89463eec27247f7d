"""A Vosk model in memory: what it knows, and the best paths through a grammar for a sound.

A recogniser is made anew for every sound and dropped after it: one that is kept grows.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from rehearse.errors import ModelError
from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Sound

# How far behind the best path another may fall, nats, and still be told: models come with 2 to 6,
# which is less than a slot must be told apart by.
BEAM = 8.0
_SEARCHED = 13.0  # nats by which a path may be behind in the middle of a sound
_SETTINGS: Mapping[str, Mapping[str, float]] = {
    "model.conf": {"--beam": _SEARCHED, "--lattice-beam": BEAM},
    # The engine adds noise that is another one each time: the same sound would be heard otherwise
    # when it is heard again. Noise of the same size is added here, always the same.
    "mfcc.conf": {"--dither": 0.0},
}
_ALTERNATIVES = 100

# Words that models have for what is none of their words, best first. Silence is the last resort:
# it is a rival of listed words in noise, though a weaker one in talk.
_FILLERS = ("[unk]", "<unk>", "<UNK>", "!SIL", "<SIL>")
_PEAK = 0.5  # of full scale: a far microphone must not drown in the steps of 16-bit sound
_NOTHING = 1e-6


@dataclass(frozen=True)
class Way:
    """One way to read a sound. score: nats, of the sound and the grammar together."""

    words: tuple[Word, ...]
    score: float

    @property
    def pieces(self) -> tuple[str, ...]:
        """Its words as the model has them."""
        return tuple(word.text for word in self.words)


class VoskModel:
    """A model of the kind that takes a grammar at run time.

    Raises:
        ModelError: the folder holds no usable model.
    """

    def __init__(self, folder: Path) -> None:
        import vosk

        vosk.SetLogLevel(-2)
        self._make: Any = vosk.KaldiRecognizer
        self.folder = folder
        if not usable(folder):
            raise ModelError(
                f"{folder}: no Vosk model (it needs 'am/final.mdl' and 'conf/model.conf'); "
                "unpack the model there again"
            )
        try:
            with tempfile.TemporaryDirectory(prefix="rehearse-") as place:
                self._model: Any = vosk.Model(str(_with_settings(folder, Path(place))))
        except Exception as error:
            raise ModelError(
                f"{folder}: the Vosk model cannot be loaded ({error}); unpack it there again"
            ) from error
        self.filler = next((word for word in _FILLERS if self.knows(word)), None)

    def knows(self, word: str) -> bool:
        """Whether the word is in the vocabulary."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def recogniser(self, phrases: Sequence[str] | None) -> Any:  # noqa: ANN401
        """A new recogniser: of these phrases and the words in them, of all words when None."""
        if phrases is None:
            return self._make(self._model, RATE)
        return self._make(self._model, RATE, json.dumps(list(phrases), ensure_ascii=False))

    def paths(self, sound: Sound, phrases: Sequence[str] | None) -> tuple[Way, ...]:
        """The ways to read a sound, best first, down to `BEAM` behind the best or a hundred."""
        recogniser = self.recogniser(phrases)
        recogniser.SetMaxAlternatives(_ALTERNATIVES)
        recogniser.SetWords(True)
        recogniser.AcceptWaveform(pcm(_levelled(sound)))
        told = json.loads(recogniser.FinalResult()).get("alternatives", ())
        return tuple(
            Way(
                tuple(Word(w["word"], w["start"], w["end"]) for w in way.get("result", ())),
                float(way["confidence"]),
            )
            for way in told
        )


def usable(folder: Path) -> bool:
    """Whether the files are there that a model of the present kind cannot do without."""
    return (folder / "am" / "final.mdl").is_file() and (folder / "conf" / "model.conf").is_file()


def reach(paths: Sequence[Way]) -> float:
    """By how many nats at least a path that is not among these is behind the best."""
    if not paths:
        return 0.0
    return BEAM if len(paths) < _ALTERNATIVES else min(BEAM, paths[0].score - paths[-1].score)


def pcm(sound: Sound) -> bytes:
    """16-bit samples, with noise of one step, the same for every sound of a length."""
    noise = np.random.default_rng(0).standard_normal(sound.size)
    return np.clip(sound * 32767.0 + noise, -32768, 32767).round().astype("<i2").tobytes()


def _levelled(sound: Sound) -> Sound:
    """The sound brought to a common peak."""
    peak = float(np.abs(sound).max(initial=0.0))
    return sound * np.float32(_PEAK / peak) if peak > _NOTHING else sound


def _with_settings(folder: Path, place: Path) -> Path:
    """A folder beside the model with its files linked and our search settings in place of its."""
    for item in folder.resolve().iterdir():
        if item.name != "conf":
            (place / item.name).symlink_to(item, target_is_directory=item.is_dir())
    (place / "conf").mkdir()
    for item in (folder / "conf").resolve().iterdir():
        ours = _SETTINGS.get(item.name)
        if ours is None:
            (place / "conf" / item.name).symlink_to(item)
        else:
            (place / "conf" / item.name).write_text(
                _changed(item.read_text("utf-8"), ours), "utf-8"
            )
    return place


def _changed(settings: str, ours: Mapping[str, float]) -> str:
    kept = [line for line in settings.splitlines() if re.split(r"\s*=", line)[0] not in ours]
    return "\n".join([*kept, *(f"{name}={value}" for name, value in ours.items())]) + "\n"
