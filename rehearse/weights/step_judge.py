"""The step judge: a small network that reads a canonical step and an utterance side by side.

It gives four probabilities for the pair. It never decides alone on a critical step, and it is
not for commands, which go word by word.

Each pair is run by itself, not in batches: the models quantise their activations over all that
runs together, so a batch would let one pair change another's probabilities (up to 0.13 for the
small model, 0.02 for the large one), and a take judged live and again afterwards could differ.
On a processor it costs nothing; `docs/decisions/002-one-pair-at-a-time.md` has the figures.
"""

from __future__ import annotations

import json
import re
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from rehearse.errors import ModelError
from rehearse.weights.onnx_session import session
from rehearse.weights.store import verified

StepJudgeName = Literal["step-judge-mpnet", "step-judge-minilm"]
Probabilities = npt.NDArray[np.float32]

LABELS = ("said", "incomplete", "wrong", "not_said")  # the columns of what `said` returns
THREADS = 2
LONGEST = 60  # tokens of each text that are read; the judges were fitted on no more
REMEMBERED = 4096  # pairs; a take asks for each of its pairs many times over

_CURLY = str.maketrans({"’": "'", "‘": "'"})
_NOT_READ = re.compile(r"[^\w']|_")


@dataclass(frozen=True)
class _Layout:
    """How a model wants its two texts joined: token ids before, between and after them."""

    before: tuple[int, ...]
    between: tuple[int, ...]
    after: tuple[int, ...]
    segments: bool  # whether the second text is marked by token_type_ids


_LAYOUTS: dict[StepJudgeName, _Layout] = {
    "step-judge-mpnet": _Layout((0,), (2, 2), (2,), segments=False),
    "step-judge-minilm": _Layout((101,), (102,), (102,), segments=True),
}


class StepJudge:
    """One of the two step judges, loaded. Safe to share between threads."""

    def __init__(
        self,
        name: StepJudgeName = "step-judge-mpnet",
        folder: Path | None = None,
        remembered: int = REMEMBERED,
        threads: int = THREADS,
    ) -> None:
        """Load the judge (0.1 s the small one, 0.4 s the large one).

        Args:
            name: the large judge for verdicts, the small one (ten times faster) for live
                partials and for choosing candidates.
            folder: where the models lie, when not in `store.models_folder()`.
            remembered: how many pairs' results are kept; raise it only for takes of hours.
            threads: processor threads that one pair may use.

        Raises:
            ModelError: a file is missing, altered or cannot be loaded.
        """
        place = verified(name, folder)
        self.name = name
        self._remembered = remembered
        self._cache: OrderedDict[tuple[str, str], Probabilities] = OrderedDict()
        self._lock = Lock()
        try:
            self._session = session(place / "model.onnx", threads)
            self._tokenizer = tokenizer(place / "tokenizer.json")
        except Exception as error:  # the libraries raise classes of their own
            raise ModelError(
                f"{place}: cannot be loaded ({_one_line(error)}); install the project again with "
                "the versions in constraints.txt"
            ) from error
        self._columns = _columns(place / "labels.json")

    def said(self, pairs: Sequence[tuple[str, str]]) -> Probabilities:
        """How each utterance stands to its step.

        Args:
            pairs: (canonical step, utterance), in any spelling; only letters, digits and
                apostrophes are read.

        Returns:
            Shape (n, 4), one row a pair, in the order of `LABELS`; each row sums to 1.
        """
        read = [(readable(step), readable(utterance)) for step, utterance in pairs]
        with self._lock:
            rows = [self._one(pair) for pair in read]
        return np.stack(rows) if rows else np.empty((0, len(LABELS)), np.float32)

    def _one(self, pair: tuple[str, str]) -> Probabilities:
        known = self._cache.get(pair)
        if known is not None:
            self._cache.move_to_end(pair)
            return known
        (logits,) = self._session.run(["logits"], self._inputs(*pair))
        result = _softmax(logits[0])[self._columns]
        self._cache[pair] = result
        if len(self._cache) > self._remembered:
            self._cache.popitem(last=False)
        return result

    def _inputs(self, step: str, utterance: str) -> dict[str, npt.NDArray[np.int64]]:
        tokens, segments = pair_ids(self.name, self._tokenizer, step, utterance)
        inputs = {"input_ids": _row(tokens), "attention_mask": _row([1] * len(tokens))}
        if _LAYOUTS[self.name].segments:
            inputs["token_type_ids"] = _row(segments)
        return inputs


def pair_ids(
    name: StepJudgeName,
    tokenizer: Any,  # noqa: ANN401 - tokenizers' stubs are incomplete
    step: str,
    utterance: str,
) -> tuple[list[int], list[int]]:
    """The token ids of a readable pair, and for each 0 (the step's) or 1 (the utterance's)."""
    layout = _LAYOUTS[name]
    texts = [tokenizer.encode(text, add_special_tokens=False).ids for text in (step, utterance)]
    first = [*layout.before, *texts[0][:LONGEST], *layout.between]
    second = [*texts[1][:LONGEST], *layout.after]
    return first + second, [0] * len(first) + [1] * len(second)


def readable(text: str) -> str:
    """The text as the judges were taught to read it: lower case, no punctuation."""
    return " ".join(_NOT_READ.sub(" ", text.translate(_CURLY).lower()).split())


def tokenizer(path: Path) -> Any:  # noqa: ANN401 - tokenizers' stubs are incomplete
    """A step judge's tokenizer, without padding and truncation of its own."""
    from tokenizers import Tokenizer

    loaded = Tokenizer.from_file(str(path))
    loaded.no_padding()
    loaded.no_truncation()
    return loaded


def _columns(path: Path) -> list[int]:
    labels: list[str] = json.loads(path.read_text("utf-8"))["labels"]
    return [labels.index(label) for label in LABELS]


def _row(values: Iterable[int]) -> npt.NDArray[np.int64]:
    return np.array([list(values)], np.int64)


def _softmax(logits: Probabilities) -> Probabilities:
    odds = np.exp(logits - logits.max())
    result: Probabilities = (odds / odds.sum()).astype(np.float32)
    return result


def _one_line(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    return lines[0] if lines else type(error).__name__
