"""A sentence embedding, when there is one: only to show what a likeness of meaning would do."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from rehearse.errors import ModelError
from rehearse.weights.store import models_folder

FOLDER = "sentence-embedding"  # inside the models folder; it is not shipped
REMEMBERED = 20_000  # sentences


class Embedding:
    """The mean of a network's token vectors, of length one.

    The folder holds `model.onnx` (inputs `input_ids` and `attention_mask`, and `token_type_ids`
    when the network has segments; first output: a vector for each token) and `tokenizer.json`.
    """

    def __init__(self, folder: Path) -> None:
        """Load the network.

        Raises:
            ModelError: the folder holds no such network.
        """
        import onnxruntime
        import tokenizers

        try:
            self._tokenizer = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
            self._session = onnxruntime.InferenceSession(
                str(folder / "model.onnx"), providers=["CPUExecutionProvider"]
            )
            self._inputs = {given.name for given in self._session.get_inputs()}
        except Exception as error:  # the libraries raise classes of their own
            reason = str(error).splitlines()[0] if str(error) else type(error).__name__
            raise ModelError(
                f"{folder}: no sentence embedding ({reason}); it takes model.onnx and "
                "tokenizer.json"
            ) from error
        self._tokenizer.no_padding()
        self.vector = lru_cache(REMEMBERED)(self._vector)

    def cosine(self, one: str, other: str) -> float:
        """The cosine of two sentences, -1..1."""
        return float(self.vector(one) @ self.vector(other))

    def _vector(self, text: str) -> npt.NDArray[np.float32]:
        ids = np.array([self._tokenizer.encode(text.lower()).ids], np.int64)
        given = {
            "input_ids": ids,
            "attention_mask": np.ones_like(ids),
            "token_type_ids": np.zeros_like(ids),
        }
        outputs = self._session.run(None, {k: v for k, v in given.items() if k in self._inputs})
        mean: npt.NDArray[np.float32] = np.asarray(outputs[0], np.float32)[0].mean(axis=0)
        return mean / max(float(np.linalg.norm(mean)), 1e-9)


def find_embedding(folder: Path | None = None) -> Embedding | None:
    """The embedding in this folder, or the one among the models; None when there is none.

    Raises:
        ModelError: a folder was named, or is there, and cannot be used.
    """
    if folder is not None:
        return Embedding(folder)
    usual = models_folder() / FOLDER
    return Embedding(usual) if usual.is_dir() else None
