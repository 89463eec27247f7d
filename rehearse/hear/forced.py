"""Forced scoring: how probable a speech model's decoder finds given texts, for one sound.

Texts that are compared differ in a word or two, so what they begin with alike is run once: all
texts form a tree, and its nodes go through the decoder together, each seeing the words before it.
What the decoder keeps of the sound is made once for all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rehearse.weights.ctranslate_file import Array, Variables
from rehearse.weights.decoder_graph import Decoder, Memory

_ROWS = 48  # nodes whose whole vocabulary is in memory at a time
_HIDDEN = np.float32(-1e9)


@dataclass(frozen=True)
class _Tree:
    """tokens, depths, parents: of each node, parents first; the root's parent is -1.

    paths: for each text the node that each of its tokens follows.
    """

    tokens: list[int]
    depths: list[int]
    parents: list[int]
    paths: list[list[int]]


class ForcedDecoder:
    """The decoder of a Whisper model in a CTranslate2 file.

    Args:
        model: the variables of the file.
        start: the tokens before every text.
        tokens: how many of the first tokens texts are made of; probabilities are shares of these.
        threads: processor threads a call may use.

    Raises:
        KeyError: the file holds no such decoder.
    """

    def __init__(self, model: Variables, start: Sequence[int], tokens: int, threads: int) -> None:
        self._model = model
        self._decoder = Decoder(model, tokens, threads)
        self._start = list(start)
        self._places = model.plain("decoder/position_encodings/encodings")

    def memory(self, encoded: Array) -> Memory:
        """What the decoder keeps of a sound. encoded: shape (positions, width)."""
        return self._decoder.memory(encoded)

    def score(self, memory: Memory, texts: Sequence[Sequence[int]]) -> list[Array]:
        """For each text the log-probability of each of its tokens, in nats.

        A text's result does not depend on the texts beside it, but for rounding (0.05 a token).
        """
        tree = _grown(self._start, texts)
        rows = self._model.weight("decoder/embeddings", np.asarray(tree.tokens))
        rows += self._places[tree.depths]
        return self._told(self._decoder.run(rows, _unseen(tree.parents), memory), tree, texts)

    def _told(self, rows: Array, tree: _Tree, texts: Sequence[Sequence[int]]) -> list[Array]:
        told = [np.zeros(len(text), np.float32) for text in texts]
        wanted = sorted(
            (node, token, number, place)
            for number, (text, path) in enumerate(zip(texts, tree.paths, strict=True))
            for place, (token, node) in enumerate(zip(text, path, strict=True))
        )
        for first in range(0, len(rows), _ROWS):
            here = [each for each in wanted if first <= each[0] < first + _ROWS]
            pairs = np.array([(node - first, token) for node, token, _, _ in here], np.int64)
            found = self._decoder.told(rows[first : first + _ROWS], pairs.reshape(-1, 2))
            for (_, _, number, place), score in zip(here, found, strict=True):
                told[number][place] = score
        return told


def _grown(start: Sequence[int], texts: Sequence[Sequence[int]]) -> _Tree:
    """The tree of some texts. A text's last token has no node: nothing follows it."""
    trunk = len(start)
    tree = _Tree(list(start), list(range(trunk)), list(range(-1, trunk - 1)), [])
    known: dict[tuple[int, int], int] = {}
    for text in texts:
        at, path = trunk - 1, []
        for place, token in enumerate(text):
            path.append(at)
            if place == len(text) - 1:
                break
            node = known.get((at, token))
            if node is None:
                node = known[at, token] = len(tree.tokens)
                tree.tokens.append(token)
                tree.depths.append(tree.depths[at] + 1)
                tree.parents.append(at)
            at = node
        tree.paths.append(path)
    return tree


def _unseen(parents: Sequence[int]) -> Array:
    """Shape (nodes, nodes): 0 where the column's node is the row's own or before it."""
    unseen = np.full((len(parents), len(parents)), _HIDDEN)
    for node, parent in enumerate(parents):
        if parent >= 0:
            unseen[node] = unseen[parent]
        unseen[node, node] = 0
    return unseen
