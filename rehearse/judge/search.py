"""Where in a take each step may have been said: the few spans worth a careful reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.judge.evidence import Scales
from rehearse.judge.prepared import PreparedStep
from rehearse.judge.speech import LONG, WIDEST, Span, Utterance
from rehearse.judge.terms import coverage, term, window

CAREFUL = 3  # spans of one utterance that the careful reader sees for one step
COVERED = 0.5  # coverage from which a span is read carefully whatever the quick reader thinks
LIKELY = 0.05  # least quick probability of any attempt at the step for a careful reading


def candidates(step: PreparedStep, utterance: Utterance, scales: Scales) -> list[Span]:
    """The spans of one utterance in which this step may have been said, most likely first."""
    spans = list(dict.fromkeys(_spans(step, utterance, scales)))
    if step.step.command:
        return spans
    pairs = [(step.canonical.text, span.text) for span in spans]
    answers = scales.readers.quick.said(pairs)
    scored: list[tuple[float, Span]] = []
    for span, answer in zip(spans, answers, strict=True):
        covered = max(coverage(w.terms, span.tokens, scales.language) for w in step.wordings)
        said, incomplete, wrong = map(float, answer[:3])
        if covered >= COVERED or said + incomplete + wrong >= LIKELY:
            scored.append((said + 0.5 * (incomplete + wrong) + covered, span))
    scored.sort(key=lambda pair: -pair[0])
    return [span for _, span in scored[:CAREFUL]]


def _spans(step: PreparedStep, utterance: Utterance, scales: Scales) -> Iterator[Span]:
    """Stretches that end only where another step's words begin.

    A stretch cut short of what follows could lose the very words that deny it ("... no, the flap
    stays open"), so whatever no other step can claim stays in.
    """
    foreign = _foreign(step, utterance, scales)
    bounds = utterance.bounds
    closed = [True, *(_changes_subject(utterance, foreign, at) for at in bounds[1:-1]), True]
    for i, first in enumerate(bounds[:-1]):
        for j, last in enumerate(bounds[i + 1 :], i + 1):
            if last - first > WIDEST and j > i + 1:
                break
            if closed[i] and closed[j]:
                yield utterance.span(first, min(last, first + WIDEST))
    if len(utterance.spoken) <= LONG:
        return
    for wording in step.wordings:
        found = window(wording.terms, utterance.whole.tokens, scales.language)
        if found is not None:
            yield _grown(utterance, found, foreign)


def _foreign(step: PreparedStep, utterance: Utterance, scales: Scales) -> list[bool | None]:
    """For each token: another step's own word (True), any other word (False), no content (None)."""
    mine = {name for w in step.wordings for name in w.terms.weights}
    others = {
        name
        for other in scales.prepared.steps
        if other is not step
        for w in other.wordings
        for name in w.terms.weights
    }
    marks: list[bool | None] = []
    for spoken in utterance.spoken:
        name = term(spoken.token, scales.language)
        negation = spoken.token.form in scales.language.lexicon.negations
        marks.append(False if negation else None if name is None else name in others - mine)
    return marks


def _changes_subject(utterance: Utterance, foreign: Sequence[bool | None], at: int) -> bool:
    """Whether a clause that starts at this token, or the one before it, is about another step."""
    starts = [b for b in utterance.bounds if b <= at]
    ends = [b for b in utterance.bounds if b >= at]
    before = foreign[starts[-2] : at]
    after = foreign[at : ends[1]]
    return any(mark is True for mark in before) or (
        any(mark is True for mark in after) and next((m for m in after if m is not None), True)
    )


def _grown(utterance: Utterance, found: tuple[int, int], foreign: Sequence[bool | None]) -> Span:
    """The window grown to both sides up to another step's words."""
    first, last = found
    while first > 0 and foreign[first - 1] is not True:
        first -= 1
    while last < len(foreign) and foreign[last] is not True:
        last += 1
    first = max(first, min(found[0], last - WIDEST))
    return utterance.span(first, min(last, first + WIDEST))
