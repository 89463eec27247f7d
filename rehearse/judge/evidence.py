"""One step against one span of speech: slots, meaning and sound weighed into a verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rehearse.judge.commands import match_command
from rehearse.judge.demands import unnamed
from rehearse.judge.garble import Mended, mended_wording
from rehearse.judge.meaning import Readers, Reading, read
from rehearse.judge.polarity import asks, denied, denied_outright
from rehearse.judge.prepared import Prepared, PreparedStep, Wording
from rehearse.judge.pronouns import named
from rehearse.judge.sequence import turned_round
from rehearse.judge.slots import Slot, compare, slots
from rehearse.judge.speech import Span
from rehearse.judge.terms import coverage
from rehearse.judge.thresholds import Thresholds
from rehearse.judge.verdict import Verdict
from rehearse.judge.wording import (
    claims,
    contradictions,
    heard_words,
    left_out,
    misplaced_value,
    printed_words,
    said_in,
)
from rehearse.language import Language

VERBATIM = 0.98  # probability of a saying that holds just a wording's key terms, in order
BEST_WEIGHT = 0.5  # how much the best wording's reading counts against the canonical one's
NEAR_NEVER = 0.5  # least coverage of a forbidden statement before it is read carefully
READER_FLOOR = 0.003  # the readers give no probability nearer to 0 or 1 than about this


@dataclass(frozen=True)
class Evidence:
    """What one span says about one step.

    probability: that the step was said rightly, 0..1. about: that the span speaks of the step.
    missing: canonical words left out. expected, heard: the slot that was said wrongly and what
    was said in its place. doubtful: words that the sound does not settle.
    """

    verdict: Verdict
    probability: float
    about: float
    span: Span
    missing: str = ""
    expected: str = ""
    heard: str = ""
    doubtful: str = ""
    corrected: bool = False


@dataclass(frozen=True)
class Scales:
    """All that weighing needs besides the step and the span."""

    prepared: Prepared
    readers: Readers
    language: Language
    thresholds: Thresholds


def weigh(step: PreparedStep, span: Span, scales: Scales) -> Evidence:
    """The verdict that this span alone gives on this step."""
    if step.step.command:
        return _weigh_command(step, span, scales)
    wording, reading = _reading(step, span, scales)
    said = slots(span.tokens, scales.language.lexicon)
    evidence = _by_meaning(step, reading, span, scales)
    wording, mended = mended_wording(
        span, step.wordings, wording, scales.prepared.known, scales.language
    )
    if mended.changes:
        evidence = _by_garbles(evidence, step, wording, mended, scales)
    else:
        evidence = _by_slots(evidence, step, wording, said, scales)
    if step.named:
        evidence = _by_demands(evidence, step, mended, scales)
    evidence = _by_never(evidence, step, scales)
    evidence = _by_polarity(evidence, step, scales)
    return _by_sound(evidence, step, wording, said)


def _reading(step: PreparedStep, span: Span, scales: Scales) -> tuple[Wording, Reading]:
    """The wording that fits best and how it reads, tempered by how the canonical one reads.

    A saying that holds all key terms of a wording, in its order, and nothing else of weight, is
    that wording, whatever the reader makes of it.
    """
    for wording in step.wordings:
        if said_in(wording, step.wordings, span.tokens, scales.language):
            return wording, Reading(VERBATIM, 0.0, 0.0, 1 - VERBATIM)
    readings = [_both_texts(w, span, scales) for w in step.wordings]
    said = slots(span.tokens, scales.language.lexicon)
    best, reading = max(
        zip(step.wordings, readings, strict=True),
        key=lambda wr: (round(wr[1].said, 1), -len(_unsaid(wr[0], said)), wr[1].said),
    )
    own = max(r.said for w, r in zip(step.wordings, readings, strict=True) if w.canonical)
    odds = logit(reading.said) * BEST_WEIGHT + logit(own) * (1 - BEST_WEIGHT)
    return best, replace(reading, said=1 / (1 + math.exp(-odds)))


def _unsaid(wording: Wording, said: Sequence[Slot]) -> list[Slot]:
    """The slots that a saying must name and does not."""
    return [slot for slot in compare(wording.slots, said).missing if slot.named]


def _both_texts(wording: Wording, span: Span, scales: Scales) -> Reading:
    """The reading of the span; of a mended one the stricter of mended and as it was said.

    A pronoun may stand for the thing that the step is about: the better reading counts.

    What a mended span seems to lack may stand in the words that were taken back ("the strap, it
    goes on, no, you unhook it"), so that being incomplete alone does not speak against it.
    """
    if span.text == span.raw:
        pairs = [(wording.text, text) for text in _texts(wording, span, scales)]
        return max(read(scales.readers.careful, pairs), key=lambda reading: reading.said)
    mended, raw = read(
        scales.readers.careful, [(wording.text, span.text), (wording.text, span.raw)]
    )
    if raw.said < mended.said:
        return raw
    return replace(mended, said=min(raw.said, mended.said + mended.incomplete))


def _texts(wording: Wording, span: Span, scales: Scales) -> list[str]:
    """The span as it was said and, where a pronoun is understood, with what it stands for."""
    understood = named(wording, span, scales.language) if wording.canonical else None
    return [span.text, understood] if understood else [span.text]


def logit(probability: float) -> float:
    """Log odds, kept within what the readers can tell apart."""
    kept = min(max(probability, READER_FLOOR), 1 - READER_FLOOR)
    return math.log(kept / (1 - kept))


def _by_meaning(step: PreparedStep, reading: Reading, span: Span, scales: Scales) -> Evidence:
    limits = scales.thresholds
    need = limits.said_critical if step.step.critical else limits.said
    if denied(step.canonical.tokens, span.tokens, scales.language):
        need = max(need, limits.said_polarity)
    pairs = [(w.text, text) for w in step.wordings for text in _texts(w, span, scales)]
    second = max(r.said for r in read(scales.readers.quick, pairs))
    if reading.said >= need:
        doubted = step.step.critical and second < limits.seconded and reading.said < VERBATIM
        verdict = Verdict.UNCLEAR if doubted else Verdict.SAID
    elif reading.said >= limits.unclear or second >= limits.objected:
        verdict = Verdict.UNCLEAR
    elif reading.not_said >= max(reading.wrong, reading.incomplete):
        verdict = Verdict.NOT_SAID
    elif reading.wrong >= reading.incomplete:
        verdict = Verdict.WRONG
    else:
        verdict = Verdict.INCOMPLETE
    missing = ""
    if verdict is Verdict.INCOMPLETE:
        missing = left_out(step.canonical, span.tokens, scales.language)
    return Evidence(verdict, reading.said, 1 - reading.not_said, span, missing)


def _by_slots(
    evidence: Evidence,
    step: PreparedStep,
    wording: Wording,
    said: Sequence[Slot],
    scales: Scales,
) -> Evidence:
    """A value of a set that contradicts the step makes it wrong; one left out, incomplete."""
    against = contradictions(step, said)
    near = max(coverage(w.terms, evidence.span.tokens, scales.language) for w in step.wordings)
    if against and near >= scales.thresholds.about:
        joined = scales.language.lexicon.reasons["joined"].join
        return replace(
            evidence,
            verdict=Verdict.WRONG,
            probability=min(evidence.probability, 0.02),
            about=max(evidence.about, near),
            expected=joined(printed_words(step.canonical, slot) for slot, _ in against),
            heard=joined(heard_words(evidence.span, slot) for _, slot in against),
            missing="",
        )
    if any(turned_round(w, evidence.span.tokens, scales.language) for w in step.wordings):
        return replace(
            evidence, verdict=Verdict.WRONG, probability=min(evidence.probability, 0.02), missing=""
        )
    elsewhere = misplaced_value(wording, said, evidence.span, scales.language)
    if elsewhere and evidence.verdict is Verdict.SAID:
        word = heard_words(evidence.span, elsewhere[0])
        return replace(evidence, verdict=Verdict.UNCLEAR, probability=0.5, doubtful=word)
    lost = _unsaid(wording, said)
    if lost and evidence.verdict in {Verdict.SAID, Verdict.UNCLEAR}:
        if _both_sure(evidence.span, step, scales):
            return replace(evidence, verdict=Verdict.UNCLEAR, probability=0.5)
        return replace(
            evidence,
            verdict=Verdict.INCOMPLETE,
            probability=min(evidence.probability, 0.2),
            missing=" ".join(printed_words(wording, slot) for slot in lost),
        )
    return evidence


def _both_sure(span: Span, step: PreparedStep, scales: Scales) -> bool:
    """Whether both readers are sure that it was said; a rule of words alone is then but a doubt."""
    pairs = [(w.text, span.text) for w in step.wordings]
    readers = (scales.readers.quick, scales.readers.careful)
    return all(max(r.said for r in read(m, pairs)) >= scales.thresholds.sure for m in readers)


def _by_garbles(
    evidence: Evidence, step: PreparedStep, wording: Wording, mended: Mended, scales: Scales
) -> Evidence:
    """Reads a recogniser's misprints as the words they sound like; in doubt where they decide."""
    tokens = scales.language.tokens(mended.text.split())
    reading = read(scales.readers.careful, [(wording.text, mended.text)])[0]
    right = replace(reading, said=max(reading.said, evidence.probability))
    if said_in(wording, step.wordings, tokens, scales.language):
        right = replace(right, said=VERBATIM)
    best = _by_meaning(step, right, evidence.span, scales)
    best = _by_slots(best, step, wording, slots(tokens, scales.language.lexicon), scales)
    if best.verdict is Verdict.SAID and mended.slots and step.step.critical:
        word = " ".join(mended.slots)
        return replace(best, verdict=Verdict.UNCLEAR, probability=0.5, doubtful=word)
    return best


def _by_demands(evidence: Evidence, step: PreparedStep, mended: Mended, scales: Scales) -> Evidence:
    """What the author says must be named makes a saying without it incomplete."""
    tokens = evidence.span.tokens
    if mended.changes:
        tokens = scales.language.tokens(mended.text.split())
    lost = unnamed(step, tokens, scales.language)
    if not lost or evidence.verdict not in {Verdict.SAID, Verdict.UNCLEAR}:
        return evidence
    probability = min(evidence.probability, 0.2)
    return replace(evidence, verdict=Verdict.INCOMPLETE, probability=probability, missing=lost)


def _by_polarity(evidence: Evidence, step: PreparedStep, scales: Scales) -> Evidence:
    """A step that is denied is wrong; one that is only asked about or imagined is not said."""
    if evidence.verdict not in {Verdict.SAID, Verdict.UNCLEAR}:
        return evidence
    canonical, said = step.canonical.tokens, evidence.span.tokens
    span = evidence.span
    if denied_outright(canonical, said, scales.language, span.before, span.after):
        if _both_sure(evidence.span, step, scales):
            return replace(evidence, verdict=Verdict.UNCLEAR, probability=0.5)
        return replace(evidence, verdict=Verdict.WRONG, probability=1 - VERBATIM)
    if asks(canonical, said, scales.language) or not scales.language.claims(span.text.split()):
        return replace(evidence, verdict=Verdict.NOT_SAID, probability=1 - VERBATIM)
    return evidence


def _by_never(evidence: Evidence, step: PreparedStep, scales: Scales) -> Evidence:
    """A forbidden statement that fits better than the step makes it wrong."""
    if not step.never or evidence.verdict not in {Verdict.SAID, Verdict.UNCLEAR}:
        return evidence
    if any(said_in(never, (), evidence.span.tokens, scales.language) for never in step.never):
        return replace(evidence, verdict=Verdict.WRONG, probability=1 - VERBATIM)
    if any(claims(never, step, evidence.span, scales.language) for never in step.never):
        return replace(evidence, verdict=Verdict.WRONG, probability=1 - VERBATIM)
    said = slots(evidence.span.tokens, scales.language.lexicon)
    pairs = [
        (never.text, evidence.span.text)
        for never in step.never
        if coverage(never.terms, evidence.span.tokens, scales.language) >= NEAR_NEVER
        and not compare(never.slots, said).contradicted
    ]
    strongest = max((r.said for r in read(scales.readers.careful, pairs)), default=0.0)
    if strongest >= scales.thresholds.never and strongest > evidence.probability:
        if _both_sure(evidence.span, step, scales):
            return replace(evidence, verdict=Verdict.UNCLEAR, probability=0.5)
        return replace(evidence, verdict=Verdict.WRONG, probability=1 - strongest)
    return evidence


def _by_sound(
    evidence: Evidence, step: PreparedStep, wording: Wording, said: Sequence[Slot]
) -> Evidence:
    """A critical step rests on no slot that the sound leaves in doubt."""
    if evidence.verdict is not Verdict.SAID or not step.step.critical:
        return evidence
    sets = {slot.name for slot in (*wording.slots, *step.canonical.slots)}
    spoken = evidence.span.spoken
    doubtful = [item.text for item in spoken if item.maybe_denied] + [
        spoken[i].text
        for slot in said
        if slot.name in sets
        for i in range(slot.first, slot.first + slot.count)
        if spoken[i].doubtful
    ]
    if doubtful:
        return replace(
            evidence, verdict=Verdict.UNCLEAR, probability=0.5, doubtful=" ".join(doubtful)
        )
    return evidence


def _weigh_command(step: PreparedStep, span: Span, scales: Scales) -> Evidence:
    """A command word by word; a forbidden command said in full is a wrong one."""
    language = scales.language.literal
    as_said = span.tokens
    if language is not scales.language:
        as_said = language.tokens(span.text.split())
    if not language.claims(span.text.split()):
        as_said = ()
    matches = [match_command(w.text, as_said, language) for w in step.wordings]
    best = max(matches, key=lambda match: (_RANK[match.verdict], match.share))
    forbidden = any(
        match_command(never.text, as_said, language).verdict is Verdict.SAID for never in step.never
    )
    if forbidden and best.verdict is not Verdict.SAID:
        best = replace(best, verdict=Verdict.WRONG, share=1.0)
    swapped = best.swapped[0] if best.swapped else ("", " ".join(best.added))
    doubtful = ""
    if best.verdict is Verdict.SAID and step.step.critical:
        doubtful = " ".join(s.text for s in span.spoken if s.doubtful)
    return Evidence(
        Verdict.UNCLEAR if doubtful else best.verdict,
        _COMMAND_PROBABILITY[best.verdict],
        best.share,
        span,
        missing=" ".join(best.missing),
        expected=scales.language.spoken(swapped[0]),
        heard=scales.language.spoken(swapped[1]),
        doubtful=doubtful or (swapped[1] if best.verdict is Verdict.UNCLEAR else ""),
        corrected=best.corrected,
    )


_RANK = {
    Verdict.NOT_SAID: 0,
    Verdict.INCOMPLETE: 1,
    Verdict.WRONG: 2,
    Verdict.UNCLEAR: 3,
    Verdict.SAID: 4,
}
# How often the word-by-word verdict on a command was right on the 676 commands of the corpus.
_COMMAND_PROBABILITY = {
    Verdict.SAID: 0.99,
    Verdict.UNCLEAR: 0.5,
    Verdict.WRONG: 0.01,
    Verdict.INCOMPLETE: 0.01,
    Verdict.NOT_SAID: 0.01,
}
