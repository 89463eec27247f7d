"""Readers that are shown an operator's own words as the words that the judge knows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rehearse.judge.meaning import Meaning, Readers
from rehearse.language import Language


def in_known_words(readers: Readers, language: Language) -> Readers:
    """The readers, with every text expanded first; themselves when there is nothing to expand."""
    if not language.rewrites:
        return readers
    return Readers(Expanded(readers.careful, language), Expanded(readers.quick, language))


@dataclass(frozen=True)
class Expanded:
    """A reader that never sees an operator's synonyms, abbreviations and designators."""

    meaning: Meaning
    language: Language

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """As `rehearse.judge.meaning.Meaning` asks."""
        expanded = self.language.expanded
        return self.meaning.said([(expanded(step), expanded(text)) for step, text in pairs])
