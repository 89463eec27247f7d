"""Weighing at less cost: pairs on which nothing depends are kept from the careful reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from rehearse.judge.evidence import Evidence, Scales, weigh
from rehearse.judge.meaning import Meaning, Readers
from rehearse.judge.prepared import PreparedStep
from rehearse.judge.slots import slots
from rehearse.judge.speech import Span
from rehearse.judge.terms import coverage
from rehearse.judge.wording import contradictions

_Row = npt.NDArray[np.float32]

NOTHING = np.array([0, 0, 0, 1], np.float32)  # a reading that can win against no other


@dataclass(frozen=True)
class Sparing:
    """A careful reader that is not asked what is answered already."""

    careful: Meaning
    answers: Mapping[tuple[str, str], _Row]

    def said(self, pairs: Sequence[tuple[str, str]]) -> npt.NDArray[np.float32]:
        """As `rehearse.judge.meaning.Meaning` asks."""
        open_pairs = [pair for pair in pairs if pair not in self.answers]
        read = iter(self.careful.said(open_pairs)) if open_pairs else iter(())
        rows = [self.answers[p] if p in self.answers else next(read) for p in pairs]
        return np.array(rows, np.float32).reshape(-1, len(NOTHING))


def weighed(step: PreparedStep, span: Span, scales: Scales) -> Evidence:
    """What `weigh` gives, with fewer questions to the careful reader.

    Where a slot proves the saying wrong, whatever a reader finds, the quick reader answers. Else
    the canonical sentence and the wording that the quick reader finds nearest are read; another
    wording can only win where the two readers disagree on it, and is left out. Neither can lead
    to more credit.
    """
    if step.step.command:
        return weigh(step, span, scales)
    quick = scales.readers.quick.said([(w.text, span.text) for w in step.wordings])
    if _contradicted(step, span, scales):
        rows = [np.array([0, row[1], row[0] + row[2], row[3]], np.float32) for row in quick]
        spared = {w.text: row for w, row in zip(step.wordings, rows, strict=True)}
    else:
        others = [i for i, w in enumerate(step.wordings) if not w.canonical]
        nearest = max(others, key=lambda i: float(quick[i][0]), default=-1)
        spared = {step.wordings[i].text: NOTHING for i in others if i != nearest}
    answers = {
        (wording, text): row for wording, row in spared.items() for text in (span.text, span.raw)
    }
    readers = Readers(Sparing(scales.readers.careful, answers), scales.readers.quick)
    return weigh(step, span, replace(scales, readers=readers))


def _contradicted(step: PreparedStep, span: Span, scales: Scales) -> bool:
    """Whether a slot alone makes the span a wrong saying of the step."""
    if not contradictions(step, slots(span.tokens, scales.language.lexicon)):
        return False
    near = max(coverage(w.terms, span.tokens, scales.language) for w in step.wordings)
    return near >= scales.thresholds.about
