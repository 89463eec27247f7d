"""The Whisper engine: readings of a sound, and how well the sound fits given texts.

One utterance is encoded once; free reading, biased reading and every forced scoring share that
encoding. `support` is log P(text | sound) - LAMBDA log P(text | silence): what the decoder
expects without any sound counts for little, what only the sound can have told it counts in full.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ctranslate2
import numpy as np
import numpy.typing as npt
from faster_whisper.feature_extractor import FeatureExtractor
from faster_whisper.tokenizer import Tokenizer

from rehearse.errors import ModelError
from rehearse.events import Word
from rehearse.hear.recogniser import RATE, Expectation, Sound, Transcript
from rehearse.hear.scoring import plain, plain_words, signs_spoken
from rehearse.hear.vocabulary import other_script, vocabulary
from rehearse.weights.ctranslate_file import variables

if TYPE_CHECKING:
    from rehearse.hear.forced import ForcedDecoder
    from rehearse.weights.decoder_graph import Memory

# Share of the silence's score that is taken off. Fitted on 24 real people, calm to shouting:
# 0.3 to 0.5 had every one of 168 right, 0 lost 14 of the 48 shouted.
LAMBDA = 0.4

LONGEST = 24.0  # seconds of sound in one call; the model's window is 30 s, less the silence below

_HOP = 160  # samples a feature frame
_POSITION = 2 * _HOP  # samples an encoder position
# The decoder ends its text where it finds a long silence. With less than 5 s behind the speech, or
# in a window under 10 s, it repeats itself: 32 of 60 clips at 1 s, 21 at 3 s, none at these.
_SILENCE_FRAMES = 500
_LEAST_FRAMES = 1000
_MOST_FRAMES = 3000
_ROUND_FRAMES = 100  # few different shapes keep the engine's buffers few
# Positions behind the sound that forced scoring needs: the whole window costs twice the time. Of
# 60 clips, each cut at three places, all score as in the whole window with 150; with 100 two fell
# by more than half a nat a token, and one that was said became a ghost.
_SCORED_TAIL = 150
_SCORED_SILENCE = 50  # positions of silence that stand for "no sound"
_SCORED_AT_ONCE = 48  # texts a tree
# Nats of sound alone. How much one text is expected more than another that differs in a slot moves
# their support by 4.6 nats at most (250 flips), by 8 in 99 of 100 swaps of a garble (250).
_FAR_BEHIND = 16.0

_FASTEST_TOKENS = 9.0  # a second; nobody speaks faster
_LEVEL = 0.08  # active RMS the features are computed at: the model's training speech is near it
_KEPT_SOUNDS = 3
_KEPT_SILENCE_SCORES = 50_000


@dataclass(eq=False)
class _Encoded:
    """One sound as the encoder puts it, and what was found out about it until now.

    whole, scored: shape (1, positions, width); `scored` is the beginning that scoring needs.
    memory: what scoring keeps of `scored`; empty until a text is scored.
    scores: nats of texts, by the sound alone. placed: texts whose words were placed in it.
    """

    whole: npt.NDArray[np.float32]
    scored: npt.NDArray[np.float32]
    positions: int
    seconds: float
    memory: Memory = ()
    scores: dict[str, float] = field(default_factory=dict)
    placed: dict[str, tuple[Word, ...]] = field(default_factory=dict)


class Whisper:
    """`rehearse.hear.recogniser.Recogniser` over a CTranslate2 Whisper model.

    Args:
        folder: the model's folder, verified by the caller (`rehearse.weights.store`).
        language: ISO 639-1 code the speech is in.
        threads: processor threads a call may use.

    Raises:
        ModelError: the folder holds no usable model, or it does not know the language.
    """

    name = "whisper"

    def __init__(self, folder: Path, language: str = "en", threads: int = 2) -> None:
        try:
            self._model = ctranslate2.models.Whisper(
                str(folder), device="cpu", compute_type="int8", intra_threads=threads
            )
            known = vocabulary(folder / "tokenizer.json")
        except Exception as error:
            raise ModelError(
                f"{folder}: the speech model cannot be loaded ({error}); copy it there again"
            ) from error
        try:
            self._tokenizer = Tokenizer(known, True, task="transcribe", language=language)
        except ValueError as error:
            raise ModelError(f"the speech model does not know the language '{language}'") from error
        self._language = language
        self._start: list[int] = list(self._tokenizer.sot_sequence)
        self._suppressed = [-1, *other_script(known, language)]
        start = (*self._start, self._tokenizer.no_timestamps)
        self._scorer = _scorer(folder / "model.bin", start, self._tokenizer.eot, threads)
        self._features = FeatureExtractor()
        self._encodings: OrderedDict[bytes, _Encoded] = OrderedDict()
        self._silence_scores: OrderedDict[str, float] = OrderedDict()
        silence = np.zeros(_POSITION, np.float32)
        encoded = self._encode(silence).whole[0, :_SCORED_SILENCE]
        self._silence = self._scorer.memory(encoded)

    def free(self, sound: Sound) -> tuple[Transcript, ...]:
        """Readings without any bias, best first; empty when nothing was understood."""
        # With time stamps the decoder knows where the speech ends, and hardly ever repeats itself.
        return self._decode(self._encoding(sound), self._start, beams=5)

    def partial(self, sound: Sound, expectation: Expectation) -> str:  # noqa: ARG002
        """A quick reading by greedy search, without bias; "" when nothing was understood."""
        readings = self._decode(self._encoding(sound), self._start, beams=1)
        return readings[0].text if readings else ""

    def support(self, sound: Sound, texts: Sequence[str]) -> tuple[float, ...]:
        """For each text log P(text | sound) - LAMBDA log P(text | silence), in nats, summed.

        Case, punctuation and hyphens take no part. An empty text has support 0. A text that the
        sound alone leaves far behind the best of them is taken to be expected as much as that one.
        """
        keys = [plain(text) for text in texts]
        encoded = self._encoding(sound)
        encoded.memory = encoded.memory or self._scorer.memory(encoded.scored[0])
        sounded = self._scored(encoded.memory, encoded.scores, keys)
        best, likeliest = max(
            ((nats, key) for nats, key in zip(sounded, keys, strict=True) if key),
            default=(0.0, ""),
        )
        running = [
            likeliest if key and nats < best - _FAR_BEHIND else key
            for key, nats in zip(keys, sounded, strict=True)
        ]
        return tuple(
            nats - LAMBDA * silent
            for nats, silent in zip(sounded, self._unsounded(running), strict=True)
        )

    def align(self, sound: Sound, text: str) -> tuple[Word, ...]:
        """The given text's printed words, with times and confidence."""
        return _printed(text.split(), self._placed(self._encoding(sound), plain(text)))

    def evidence(self, sound: Sound, text: str) -> float:
        """How well the sound bears a text out: its mean support, nats a token."""
        (support,) = self.support(sound, [text])
        return support / max(1, sum(map(len, self._tokens(plain(text)))))

    def _decode(
        self, encoded: _Encoded, start: Sequence[int], beams: int
    ) -> tuple[Transcript, ...]:
        (result,) = self._model.generate(
            ctranslate2.StorageView.from_array(encoded.whole),
            [list(start)],
            beam_size=beams,
            num_hypotheses=beams,
            return_scores=True,
            suppress_tokens=self._suppressed,
            max_length=len(start) + 12 + int(_FASTEST_TOKENS * encoded.seconds),
        )
        readings: dict[str, Transcript] = {}
        for ids, score in zip(result.sequences_ids, result.scores, strict=True):
            text = signs_spoken(" ".join(self._tokenizer.decode(ids).split()), self._language)
            if plain(text):
                readings.setdefault(plain(text), Transcript(text, float(score)))
        return tuple(readings.values())

    def _encoding(self, sound: Sound) -> _Encoded:
        key = sound.tobytes()
        found = self._encodings.get(key)
        if found is None:
            found = self._encode(sound)
            self._encodings[key] = found
            while len(self._encodings) > _KEPT_SOUNDS:
                self._encodings.popitem(last=False)
        self._encodings.move_to_end(key)
        return found

    def _encode(self, sound: Sound) -> _Encoded:
        if sound.size > LONGEST * RATE:
            raise ValueError(f"{sound.size / RATE:.1f} s of sound; the longest is {LONGEST} s")
        frames = -(-sound.size // _HOP)
        window = max(_LEAST_FRAMES, frames + _SILENCE_FRAMES)
        window = min(_MOST_FRAMES, -(-window // _ROUND_FRAMES) * _ROUND_FRAMES)
        padded = np.zeros(window * _HOP, np.float32)
        padded[: sound.size] = levelled(sound)
        features = self._features(padded, padding=_HOP)[None, :, :window]
        output: Any = self._model.encode(
            ctranslate2.StorageView.from_array(np.ascontiguousarray(features, np.float32)),
            to_cpu=True,
        )
        whole = np.asarray(output)
        positions = -(-sound.size // _POSITION)
        scored = np.ascontiguousarray(whole[:, : positions + _SCORED_TAIL])
        return _Encoded(whole, scored, positions, sound.size / RATE)

    def _unsounded(self, keys: Sequence[str]) -> list[float]:
        """How much each text is expected where there is no sound."""
        scores = self._scored(self._silence, self._silence_scores, keys)
        while len(self._silence_scores) > _KEPT_SILENCE_SCORES:
            self._silence_scores.popitem(last=False)
        return scores

    def _scored(self, memory: Memory, known: dict[str, float], keys: Sequence[str]) -> list[float]:
        """Nats of each text; `known` has those that were scored before, and takes the others."""
        missing = [key for key in dict.fromkeys(keys) if key not in known]
        for first in range(0, len(missing), _SCORED_AT_ONCE):
            batch = missing[first : first + _SCORED_AT_ONCE]
            texts = [[token for word in self._tokens(key) for token in word] for key in batch]
            for key, told in zip(batch, self._scorer.score(memory, texts), strict=True):
                known[key] = float(told.sum(dtype=np.float64))
        return [known[key] for key in keys]

    def _tokens(self, key: str) -> list[list[int]]:
        return [self._tokenizer.encode(" " + word) for word in key.split()]

    def _placed(self, encoded: _Encoded, key: str) -> tuple[Word, ...]:
        """The text's words as they lie in the sound."""
        if not key:
            return ()
        known = encoded.placed.get(key)
        if known is not None:
            return known
        tokens = self._tokens(key)
        (result,) = self._model.align(
            ctranslate2.StorageView.from_array(encoded.scored),
            self._start,
            [[token for word in tokens for token in word]],
            [min(2 * encoded.positions, 2 * encoded.scored.shape[1])],
        )
        encoded.placed[key] = _timed(key.split(), tokens, result)
        return encoded.placed[key]


@lru_cache(maxsize=1)
def _scorer(path: Path, start: tuple[int, ...], tokens: int, threads: int) -> ForcedDecoder:
    """The model's decoder, kept: half a second and 100 MB, and the same for every recogniser."""
    from rehearse.hear.forced import ForcedDecoder

    return ForcedDecoder(variables(path), start, tokens, threads)


def _printed(printed: Sequence[str], spoken: Sequence[Word]) -> tuple[Word, ...]:
    """The scored words put together again as they are printed: "cross-checked" is one."""
    words: list[Word] = []
    at = 0
    for text in printed:
        parts = spoken[at : at + len(plain_words(text))]
        if parts:
            at += len(parts)
            confidence = min(part.confidence for part in parts)
            words.append(Word(text, parts[0].start, parts[-1].end, confidence))
    return tuple(words)


def levelled(sound: Sound) -> Sound:
    """The sound with its louder half at the level the model was trained near.

    The features are relative to their loudest bin, but their floor is not: a whisper far from the
    microphone would drown in it. Only what the model sees is changed.
    """
    if not sound.size:
        return sound
    blocks = sound[: sound.size // _HOP * _HOP].reshape(-1, _HOP)
    if not blocks.size:
        return sound
    power = np.mean(np.square(blocks, dtype=np.float64), axis=1)
    loud = power[power >= np.median(power)].mean()
    if loud <= 1e-12:
        return sound
    return (sound * np.float32(_LEVEL / math.sqrt(loud))).astype(np.float32)


def _timed(
    words: Sequence[str],
    tokens: Sequence[Sequence[int]],
    result: Any,  # noqa: ANN401
) -> tuple[Word, ...]:
    """The engine's alignment of tokens to frames, as words with seconds."""
    probabilities = np.asarray(result.text_token_probs, np.float64)
    pairs = np.asarray(result.alignments)
    jumps = np.pad(np.diff(pairs[:, 0]), (1, 0), constant_values=1).astype(bool)
    seconds = pairs[jumps, 1] * (_POSITION / RATE)
    edges = np.cumsum([0, *(len(word) for word in tokens)])
    last = len(seconds) - 1
    return tuple(
        Word(
            word,
            float(seconds[min(first, last)]),
            float(seconds[min(after, last)]),
            float(np.exp(np.mean(np.log(np.maximum(probabilities[first:after], 1e-12))))),
        )
        for word, first, after in zip(words, edges[:-1], edges[1:], strict=True)
    )
