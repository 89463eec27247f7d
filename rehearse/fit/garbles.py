"""What the recogniser makes of labelled utterances: spoken by synthetic voices, heard, kept."""

from __future__ import annotations

import random
import re
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from rehearse.fit.rows import Row
from rehearse.hear.recogniser import RATE, Recogniser
from rehearse.judge.slots import slots
from rehearse.language import Language, load

FLITE_VOICES = ("slt", "rms", "awb", "kal16")
ESPEAK_VOICES = ("en-gb", "en-us+f3", "en-gb-scotland+m3", "en-gb-x-rp+f2", "en-029+m2", "en-us+m7")
SNR_DB = (None, None, 20.0, 10.0)  # clean half the time, then in noise
MOST_CHANGED = 0.5  # share of words; beyond it a label could no longer be trusted

_WORDS = re.compile(r"[^\w' ]+")

Sound = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Voice:
    """A speech program and one of its voices."""

    program: str
    name: str


VOICES = tuple(Voice("flite", name) for name in FLITE_VOICES) + tuple(
    Voice("espeak-ng", name) for name in ESPEAK_VOICES
)


def garbled(rows: Sequence[Row], recogniser: Recogniser, seed: int) -> Iterator[Row]:
    """Each row as some voice says it and the recogniser hears it, where it heard other words.

    A row is kept with its label only when every slot (state, side, number, not ...) came through,
    so that the label still holds (marking rule: a garbled word that is no slot word is no fault).
    """
    chance = random.Random(seed)  # noqa: S311 - which voice speaks is no secret
    language = load("en")
    for row in rows:
        voice, noise = chance.choice(VOICES), chance.choice(SNR_DB)
        sound = _noisy(_spoken(row.said, voice, chance.randint(-20, 30)), noise, chance.random())
        read = recogniser.free(sound)
        if not read:
            continue
        heard = _plain(read[0].text)
        if heard and _keeps_label(row.said, heard, language):
            yield replace(row, said=heard, kind="asr_" + row.kind)


def _keeps_label(said: str, heard: str, language: Language) -> bool:
    old, new = language.tokens(said.split()), language.tokens(heard.split())
    if [token.form for token in old] == [token.form for token in new]:
        return False
    values = [
        [(slot.name, slot.value) for slot in slots(tokens, language.lexicon)]
        for tokens in (old, new)
    ]
    changed = _distance([t.form for t in old], [t.form for t in new])
    return values[0] == values[1] and changed <= MOST_CHANGED * len(old)


def _distance(one: Sequence[str], other: Sequence[str]) -> float:
    from rapidfuzz.distance import Levenshtein

    return Levenshtein.distance(one, other)


def _plain(text: str) -> str:
    return " ".join(_WORDS.sub(" ", text.lower()).split())


def _spoken(text: str, voice: Voice, faster: int) -> Sound:
    """The text at 16 kHz; faster is in percent of the voice's own pace."""
    import soundfile
    import soxr

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "spoken.wav"
        pace = 1 + faster / 100
        if voice.program == "flite":
            stretch = f"duration_stretch={1 / pace:.2f}"
            order = ["flite", "-voice", voice.name, "--setf", stretch, "-t", text, "-o", str(path)]
        else:
            order = [
                "espeak-ng",
                "-v",
                voice.name,
                "-s",
                str(int(165 * pace)),
                "-w",
                str(path),
                text,
            ]
        subprocess.run(order, check=True, capture_output=True)
        sound, rate = soundfile.read(path, dtype="float32")
    resampled: Sound = soxr.resample(sound, rate, RATE).astype(np.float32)
    return resampled


def _noisy(sound: Sound, snr_db: float | None, seed: float) -> Sound:
    """The sound in low-passed noise, as in a cabin, at this ratio of speech to noise."""
    if snr_db is None:
        return sound
    noise = np.random.default_rng(int(seed * 1e9)).standard_normal(len(sound))
    smooth = np.convolve(noise, np.ones(12) / 12, "same")
    level = np.sqrt(np.mean(sound**2) / np.mean(smooth**2)) * 10 ** (-snr_db / 20)
    mixed: Sound = (sound + smooth * level).astype(np.float32)
    return mixed
