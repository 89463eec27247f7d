"""Words of an utterance that is still going on, read as its sound grows."""

from __future__ import annotations

import json
from typing import Any

from rehearse.hear.recogniser import Sound
from rehearse.hear.vosk_model import VoskModel, pcm
from rehearse.hear.word_list import Grammar, Pieces

_MARK = 1600  # samples at its start by which an utterance is known again


class Stream:
    """Reads one growing utterance after another; each gets a recogniser of its own."""

    def __init__(self, model: VoskModel) -> None:
        self._model = model
        self._recogniser: Any = None
        self._known: tuple[bytes, Grammar] | None = None
        self._fed = 0

    def heard(self, sound: Sound, grammar: Grammar) -> Pieces:
        """The words read until now; only what is new since the last call is decoded."""
        known = (sound[:_MARK].tobytes(), grammar)
        if self._recogniser is None or self._known != known or sound.size < self._fed:
            self._recogniser = self._model.recogniser(grammar.phrases)
            self._known, self._fed = known, 0
        self._recogniser.AcceptWaveform(pcm(sound[self._fed :]))
        self._fed = sound.size
        return tuple(json.loads(self._recogniser.PartialResult())["partial"].split())
