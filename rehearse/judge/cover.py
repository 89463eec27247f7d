"""Which key terms a stretch of speech says, as bits: coverage of every step at little cost.

It gives the shares of `rehearse.judge.terms.coverage`, for all steps of a procedure at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
import numpy.typing as npt

from rehearse.judge.prepared import PreparedStep, Wording
from rehearse.judge.terms import LIKE_FROM, like, term
from rehearse.language import Language
from rehearse.language.token import Token

REMEMBERED = 100_000  # words, and shares, that are kept at most
STRETCHES = 5_000  # stretches whose shares of all steps are kept at most

Shares = npt.NDArray[np.float64]


class Cover:
    """The key terms of some steps, each a bit, and what share of each step some bits make up."""

    def __init__(self, steps: Sequence[PreparedStep], language: Language) -> None:
        self.steps = tuple(steps)
        self._language = language
        names = dict.fromkeys(n for s in steps for w in s.wordings for n in w.terms.weights)
        self._bit = {name: 1 << at for at, name in enumerate(names)}
        self._long = [name for name in names if len(name) >= LIKE_FROM]
        self._alike: dict[str, int] = {}
        self._shares: dict[int, Shares] = {}
        self._share: dict[tuple[int, int], float] = {}
        self.own = tuple(self._bits(step.wordings) for step in steps)

    def _bits(self, wordings: Sequence[Wording]) -> int:
        bits = 0
        for wording in wordings:
            for name in wording.terms.weights:
                bits |= self._bit[name]
        return bits

    def exact(self, token: Token) -> int | None:
        """The bit of the term that the token stands for, 0 for another's; None for no term."""
        name = term(token, self._language)
        return None if name is None else self._bit.get(name, 0)

    def alike(self, token: Token) -> int:
        """The bits of the terms that the token says, misprints of long words included."""
        name = term(token, self._language)
        if name is None:
            return 0
        known = self._alike.get(name)
        if known is None:
            known = self._bit.get(name, 0)
            for other in self._long:
                if like(other, name):
                    known |= self._bit[other]
            if len(self._alike) >= REMEMBERED:
                self._alike.clear()
            self._alike[name] = known
        return known

    def said(self, tokens: Sequence[Token]) -> int:
        """The bits of all terms that the tokens say."""
        bits = 0
        for token in tokens:
            bits |= self.alike(token)
        return bits

    def shares(self, bits: int) -> Shares:
        """For each step the share of its best covered wording's weight, 0..1."""
        known = self._shares.get(bits)
        if known is None:
            known = self._best_shares(bits)
            if len(self._shares) >= STRETCHES:
                self._shares.clear()
            self._shares[bits] = known
        return known

    def share(self, at: int, bits: int) -> float:
        """What `shares` holds for the step at this place."""
        key = (at, bits & self.own[at])
        known = self._share.get(key)
        if known is None:
            known = float(self._best_shares(key[1])[at]) if key[1] else 0.0
            if len(self._share) >= REMEMBERED:
                self._share.clear()
            self._share[key] = known
        return known

    def nearest_other(self, at: int, bits: int) -> float:
        """The greatest share among all steps but the one at this place."""
        others = self.shares(bits)
        return max(float(others[:at].max(initial=0.0)), float(others[at + 1 :].max(initial=0.0)))

    def _best_shares(self, bits: int) -> Shares:
        raw = np.frombuffer(bits.to_bytes(self._width, "little"), np.uint8)
        said = np.unpackbits(raw, bitorder="little")[: len(self._bit)]
        best: Shares = np.maximum.reduceat(self._weights @ said, self._starts)
        return best

    @cached_property
    def _width(self) -> int:
        return len(self._bit) // 8 + 1

    @cached_property
    def _starts(self) -> npt.NDArray[np.int64]:
        """The row of `_weights` at which each step's wordings start."""
        counts = [len(step.wordings) for step in self.steps]
        return np.cumsum([0, *counts[:-1]])

    @cached_property
    def _weights(self) -> Shares:
        """One row a wording: what share of it each term is worth."""
        wordings = [wording for step in self.steps for wording in step.wordings]
        rows = np.zeros((len(wordings), len(self._bit)))
        for row, wording in zip(rows, wordings, strict=True):
            for name, weight in wording.terms.weights.items():
                row[self._bit[name].bit_length() - 1] = weight / wording.terms.total
        return rows
