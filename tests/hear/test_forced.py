"""Forced scoring of trees of texts, against the engine's own scoring of one text at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ctranslate2
import numpy as np
import pytest

from rehearse.hear.forced import ForcedDecoder
from rehearse.hear.recogniser import Sound
from rehearse.hear.whisper import Whisper
from rehearse.weights import decoder_graph
from rehearse.weights.ctranslate_file import variables
from rehearse.weights.store import verified

Clip = Callable[[str], Sound]

ROUNDING = 0.1  # nats a token: a value rounded the other way to 8 bits

TEXTS = (
    "Door two left armed and cross checked",
    "Door two left disarmed and cross checked",
    "Door two right armed and cross checked",
    "Fasten the strap at the top of the slide",
)


def _tokens(whisper: Whisper, text: str) -> list[int]:
    return [token for word in text.split() for token in whisper._tokenizer.encode(" " + word)]


def _by_the_engine(whisper: Whisper, sound: np.ndarray, tokens: Sequence[int]) -> np.ndarray:
    encoded = whisper._encoding(sound)
    (result,) = whisper._model.align(
        ctranslate2.StorageView.from_array(encoded.scored), whisper._start, [list(tokens)],
        [2 * encoded.positions],
    )  # fmt: skip
    return np.log(np.asarray(result.text_token_probs, np.float64))


@pytest.mark.parametrize("text", TEXTS)
def test_tokens_are_as_probable_as_the_engine_says(whisper: Whisper, clip: Clip, text: str) -> None:
    """Both round the same weights, each in its own way: 0.1 nats a token apart at most."""
    sound = clip("door-two-left-armed")
    tokens = _tokens(whisper, text)
    memory = whisper._scorer.memory(whisper._encoding(sound).scored[0])
    (ours,) = whisper._scorer.score(memory, [tokens])
    assert abs(ours.sum() - _by_the_engine(whisper, sound, tokens).sum()) < 0.1 * len(tokens)


def test_texts_beside_it_do_not_change_a_text(whisper: Whisper, clip: Clip) -> None:
    """Alone or among texts that begin alike, doubled or empty, a text is as probable."""
    memory = whisper._scorer.memory(whisper._encoding(clip("door-two-left-armed")).scored[0])
    texts = [_tokens(whisper, text) for text in (*TEXTS, TEXTS[0], "")]
    together = whisper._scorer.score(memory, texts)
    for text, scores in zip(texts, together, strict=True):
        (alone,) = whisper._scorer.score(memory, [text])
        assert len(scores) == len(text)
        assert scores == pytest.approx(alone, abs=ROUNDING)


def test_more_nodes_than_fit_at_once(whisper: Whisper) -> None:
    """A tree of several hundred nodes gives what its texts give one by one."""
    texts = [[500 + at, 600, 700, 800, 900, 1000 + at] for at in range(60)]
    together = whisper._scorer.score(whisper._silence, texts)
    (alone,) = whisper._scorer.score(whisper._silence, texts[-1:])
    assert together[-1] == pytest.approx(alone, abs=ROUNDING)


def test_older_processors_score_alike(
    whisper: Whisper, clip: Clip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where signed weights would overflow, unsigned ones give the same."""
    encoded = whisper._encoding(clip("door-two-left-armed")).scored[0]
    tokens = [_tokens(whisper, text) for text in TEXTS]
    usual = whisper._scorer.score(whisper._scorer.memory(encoded), tokens)
    monkeypatch.setattr(decoder_graph, "_exact_with_signs", lambda: False)
    model = variables(verified("whisper-base-int8") / "model.bin")
    start = [*whisper._start, whisper._tokenizer.no_timestamps]
    other = ForcedDecoder(model, start, whisper._tokenizer.eot, threads=2)
    unsigned = other.score(other.memory(encoded), tokens)
    for one, two in zip(usual, unsigned, strict=True):
        assert one == pytest.approx(two, abs=ROUNDING)
