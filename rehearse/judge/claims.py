"""Whether words claim that something is done, and whether that is the opposite of a step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rehearse.judge.polarity import opens_asking, undone_at
from rehearse.judge.prepared import Prepared, PreparedStep, Wording
from rehearse.judge.slots import DONE, WEAK, Slot
from rehearse.judge.speech import Span
from rehearse.judge.terms import coverage, term
from rehearse.judge.wording import contradictions
from rehearse.language import Language
from rehearse.language.grammar import Grammar
from rehearse.language.token import Token

NEAR = 3  # tokens before a value in which such a word stands


@dataclass(frozen=True)
class Opposite:
    """A claim against a critical step.

    remark: it only says how something is, which is no contradiction before the step was done.
    attempt: it is a saying of the step itself, with a slot turned round.
    """

    step: PreparedStep
    remark: bool
    attempt: bool


def asserted(
    span: Span,
    anchor: int,
    claim: Sequence[Wording],
    language: Language,
    context: Sequence[Wording] = (),
) -> bool:
    """Whether the span claims something: no question, condition, denial, or another's words.

    Args:
        span: what was said.
        anchor: the token that decides, first of those that make the claim.
        claim: what is claimed, in one or more wordings.
        language: the words of questions, conditions and denials.
        context: what belongs to it. A word that these or the claim need themselves ("if the
            doors differ ...") does not count against it.
    """
    tokens, grammar = span.tokens, language.lexicon.grammar
    if span.spoken[-1].text.endswith("?") or opens_asking(_led(tokens, grammar), language):
        return False
    own = {token.form for wording in (*claim, *context) for token in wording.tokens}
    if any(t.form in grammar.conditions - own for t in tokens):
        return False
    if any(t.form in grammar.unreal - own for t in tokens[:anchor]) or _subject(tokens, language):
        return False
    names = {name for wording in claim for name in wording.terms.weights}
    hit = [token for token in tokens if term(token, language) in names]
    denied = sum(token.negated for token in hit)
    if 2 * denied > len(hit) and not own & grammar.denials:
        return False
    return not any(_undone(tokens, at, names, language) for at in range(len(tokens)))


def anchor_of(wording: Wording, apart: Iterable[Wording], span: Span, language: Language) -> int:
    """The first token of the span with a term of the wording alone; else with any of its terms."""
    others = {name for w in apart for name in w.terms.weights}
    terms = [term(token, language) for token in span.tokens]
    own = [at for at, name in enumerate(terms) if name in wording.terms.weights]
    alone = [at for at in own if terms[at] not in others]
    return (alone or own or [0])[0]


def _subject(tokens: Sequence[Token], language: Language) -> bool:
    """Whether somebody else is the one who does or says it."""
    lexicon = language.lexicon
    small = lexicon.stop_words - lexicon.other_speakers
    led = _led(tokens, lexicon.grammar)
    first = next((token.form for token in led if token.form not in small), "")
    return first in lexicon.other_speakers - lexicon.grammar.things


def _undone(tokens: Sequence[Token], at: int, names: set[str], language: Language) -> bool:
    """Whether a phrase here calls undone what the claim is about ("instead of turning")."""
    phrase = undone_at(tokens, at, language.lexicon)
    after = (term(token, language) for token in tokens[at + len(phrase) :])
    return bool(phrase) and next((n for n in after if n is not None), None) in names


def _led(tokens: Sequence[Token], grammar: Grammar) -> Sequence[Token]:
    """The tokens without the small words that lead up to a clause."""
    at = next((i for i, t in enumerate(tokens) if t.form not in grammar.openers), 0)
    return tokens[at:]


def opposite(
    span: Span, said: Sequence[Slot], prepared: Prepared, about: float, language: Language
) -> Opposite | None:
    """The critical step whose opposite the span claims, if it claims one.

    Either the span says enough of the step to be about it, more than of any other step, with a slot
    turned round; or it does to a thing of the procedure what is the opposite of a critical step and
    part of none ("i disarm the door" where the door is to be armed).
    """
    grammar = language.lexicon.grammar
    for step in prepared.steps:
        if not step.step.critical or step.step.command:
            continue
        against = contradictions(step, said)
        if (
            against
            and asserted(span, against[0][1].first, step.wordings, language)
            and _share(step, span, language) >= about
            and not _fits_another(step, span, said, prepared, language)
        ):
            return Opposite(step, _remark(span, against[0][1], grammar), attempt=True)
    for slot in said:
        if slot.name in DONE and not slot.negated and not _is_noun(slot, span, grammar):
            undone = _undoes(slot, prepared)
            if (
                undone is not None
                and asserted(span, slot.first, undone.wordings, language)
                and _of_the_procedure(slot, span, prepared, language)
            ):
                return Opposite(undone, _remark(span, slot, grammar), attempt=False)
    return None


def _share(step: PreparedStep, span: Span, language: Language) -> float:
    return max(coverage(w.terms, span.tokens, language) for w in step.wordings)


def _fits_another(
    step: PreparedStep, span: Span, said: Sequence[Slot], prepared: Prepared, language: Language
) -> bool:
    """Whether another step is at least as near and not contradicted."""
    share = _share(step, span, language)
    return any(
        other is not step
        and _share(other, span, language) >= share
        and not contradictions(other, said)
        for other in prepared.steps
    )


def _undoes(slot: Slot, prepared: Prepared) -> PreparedStep | None:
    """The critical step that wants another value of the set, when no step at all wants this one."""
    wanted: PreparedStep | None = None
    for step in prepared.steps:
        for own in (own for wording in step.wordings for own in wording.slots):
            if own.name != slot.name:
                continue
            if own.value == slot.value:
                return None
            if step.step.critical and not own.negated and own.name not in WEAK:
                wanted = wanted or step
    return wanted


def _of_the_procedure(slot: Slot, span: Span, prepared: Prepared, language: Language) -> bool:
    """Whether all else that the span speaks of belongs to the procedure."""
    known = {n for s in prepared.steps for w in s.wordings for n in w.terms.weights}
    title = language.tokens(prepared.procedure.title.split())
    known |= {name for token in title if (name := term(token, language)) is not None}
    rest = [
        name
        for at, token in enumerate(span.tokens)
        if not slot.first <= at < slot.first + slot.count
        and (token.form,) not in language.lexicon.joints
        and (name := term(token, language)) is not None
    ]
    doers = language.lexicon.grammar.doers
    done_by = any(t.form in doers for t in span.tokens[max(0, slot.first - 1) : slot.first])
    return all(name in known for name in rest) and (bool(rest) or done_by)


def _is_noun(slot: Slot, span: Span, grammar: Grammar) -> bool:
    """Whether the value names or describes a thing ("the other arm", "the armed door")."""
    return slot.first > 0 and span.tokens[slot.first - 1].form in grammar.describing


def _remark(span: Span, slot: Slot, grammar: Grammar) -> bool:
    """Whether the value only says how something is."""
    before = span.tokens[max(0, slot.first - NEAR) : slot.first]
    return any(token.form in grammar.remarks for token in before)
