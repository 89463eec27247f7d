"""What was said beyond the steps, and whether the procedure forbids it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rehearse.judge.evidence import NEAR_NEVER, Evidence, Scales
from rehearse.judge.meaning import read
from rehearse.judge.reasons import STOPS
from rehearse.judge.sequence import turned_round
from rehearse.judge.slots import WEAK, compare, slots
from rehearse.judge.speech import Span, Utterance
from rehearse.judge.terms import coverage
from rehearse.judge.verdict import Extra, Verdict

CONTENT = 3  # content words a stretch needs to be worth mentioning


def extras(
    spoken: Sequence[Utterance], chosen: Mapping[str, Evidence], scales: Scales
) -> tuple[Extra, ...]:
    """Every dangerous claim, and every clause that belongs to no step, in the order of the take."""
    opposites = _opposites(chosen, scales)
    found: list[tuple[int, Extra]] = [(span.first, extra) for span, extra in opposites]
    for utterance in spoken:
        for first, last in zip(utterance.bounds, utterance.bounds[1:], strict=False):
            span = utterance.span(first, last)
            if any(other.overlaps(span) for other, _ in opposites):
                continue
            extra = _extra(span, chosen, scales)
            if extra is not None:
                found.append((span.first, extra))
    return tuple(extra for _, extra in sorted(found, key=lambda pair: pair[0]))


def _opposites(chosen: Mapping[str, Evidence], scales: Scales) -> list[tuple[Span, Extra]]:
    """Critical steps of which the opposite was claimed."""
    reason = scales.language.lexicon.reasons["dangerous_step"]
    found: list[tuple[Span, Extra]] = []
    for step_id, evidence in chosen.items():
        step = scales.prepared.procedure.step(step_id)
        if evidence.verdict is Verdict.WRONG and step.critical and evidence.heard:
            span = evidence.span
            why = reason.format(heard=span.text.rstrip(STOPS), say=step.say.rstrip(STOPS))
            found.append((span, Extra(span.text, True, why, span.start, span.end)))
    return found


def _extra(span: Span, chosen: Mapping[str, Evidence], scales: Scales) -> Extra | None:
    reasons = scales.language.lexicon.reasons
    heard = span.text.rstrip(STOPS)
    if _forbidden(span, scales):
        return Extra(
            span.text, True, reasons["dangerous"].format(heard=heard), span.start, span.end
        )
    if any(evidence.span.overlaps(span) for evidence in chosen.values()):
        return None
    stop = scales.language.lexicon.stop_words
    if sum(token.form not in stop for token in span.tokens) < CONTENT:
        return None
    return Extra(span.text, False, reasons["extra"].format(heard=heard), span.start, span.end)


def _forbidden(span: Span, scales: Scales) -> bool:
    """Whether the span claims something that a step's `never` forbids."""
    said = slots(span.tokens, scales.language.lexicon)
    for step in scales.prepared.steps:
        for never in step.never:
            if coverage(never.terms, span.tokens, scales.language) < NEAR_NEVER:
                continue
            agreement = compare(never.slots, said)
            if any(slot.name not in WEAK for slot in (*agreement.contradicted, *agreement.mixed)):
                continue
            if turned_round(never, span.tokens, scales.language):
                continue
            reading = read(scales.readers.careful, [(never.text, span.text)])[0]
            own = read(scales.readers.careful, [(w.text, span.text) for w in step.wordings])
            if reading.said >= scales.thresholds.never and reading.said > max(r.said for r in own):
                return True
    return False
