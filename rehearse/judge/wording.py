"""What the words alone show: a wording said in full, a slot contradicted, a forbidden claim."""

from __future__ import annotations

import statistics
from collections.abc import Sequence

from rehearse.judge.prepared import PreparedStep, Wording
from rehearse.judge.slots import WEAK, Agreement, Slot, compare, slots
from rehearse.judge.speech import Span
from rehearse.judge.terms import found, term
from rehearse.language import Language
from rehearse.language.token import Token

SWALLOWED = 2  # words between two parts left out that are named along with them
MOSTLY = 0.7  # share of a wording's key terms that must be there


def said_in(
    wording: Wording, others: Sequence[Wording], tokens: Sequence[Token], language: Language
) -> bool:
    """Whether the tokens say the wording's key terms in order, and no other word of weight.

    A term that a shorter wording does without may be left out, as long as most are there, and a
    term that only another wording has may come in.
    """
    wanted = [name for t in wording.tokens if (name := term(t, language)) is not None]
    elsewhere = {n for other in others for n in other.terms.weights} - set(wanted)
    spoken = _without_lead_in(tokens, wording, language)
    said = [n for t in spoken if (n := term(t, language)) is not None and n not in elsewhere]
    shorter = [o for o in others if len(o.terms.weights) < len(wording.terms.weights)]
    optional = {n for n in wanted if any(n not in other.terms.weights for other in shorter)}
    kept = [name for name in wanted if name in said or name not in optional]
    if said != kept or len(kept) < MOSTLY * len(wanted):
        return False
    if compare(wording.slots, slots(tokens, language.lexicon)).contradicted:
        return False
    return _negations(tokens, language) == _negations(wording.tokens, language)


def _negations(tokens: Sequence[Token], language: Language) -> int:
    return sum(token.form in language.lexicon.negations for token in tokens)


def _without_lead_in(
    tokens: Sequence[Token], wording: Wording, language: Language
) -> Sequence[Token]:
    """The tokens without the counting word that opens them ("first I ...", "finally ...")."""
    rank = next(c for c in language.lexicon.contrasts if c.name == "rank")
    opens = bool(tokens) and (tokens[0].form,) in rank.phrases
    return tokens[1:] if opens and tokens[0].form not in wording.terms.weights else tokens


def claims(never: Wording, step: PreparedStep, span: Span, language: Language) -> bool:
    """Whether all words of a forbidden statement were said in its order, its own among them."""
    own = set(never.terms.weights) - {n for w in step.wordings for n in w.terms.weights}
    hit = found(never.terms, span.tokens, language)
    return (
        bool(own)
        and hit == set(never.terms.weights)
        and _in_order(never, span.tokens, language)
        and _negations(span.tokens, language) == _negations(never.tokens, language)
    )


def _in_order(wording: Wording, tokens: Sequence[Token], language: Language) -> bool:
    """Whether the words of the wording that were said as they stand were said in its order."""
    said = iter([term(token, language) for token in tokens])
    present = {term(token, language) for token in tokens}
    wanted = [n for t in wording.tokens if (n := term(t, language)) in present and n is not None]
    return all(name in said for name in wanted)


def contradictions(step: PreparedStep, said: Sequence[Slot]) -> list[tuple[Slot, Slot]]:
    """The slots of the step that the saying contradicts whatever wording is taken, and by what."""
    agreements: list[Agreement] = [compare(w.slots, said) for w in step.wordings]
    agreed = {slot.name for agreement in agreements for slot in agreement.agreed}
    pairs = zip(agreements[0].contradicted, agreements[0].against, strict=True)
    return [(slot, heard) for slot, heard in pairs if slot.name not in WEAK | agreed]


def misplaced_value(
    wording: Wording, said: Sequence[Slot], span: Span, language: Language
) -> list[Slot]:
    """Where a set was said both rightly and otherwise: what stands nearest to the step's words.

    "At two right I see the panes, and the sill lamp of two left is lit" names the right door, but
    not for the lamp.
    """
    mixed = [slot for slot in compare(wording.slots, said).mixed if slot.named]
    taken = {i for slot in said for i in range(slot.first, slot.first + slot.count)}
    anchors = [
        at
        for at, token in enumerate(span.tokens)
        if at not in taken and term(token, language) in wording.terms.weights
    ]
    if not mixed or not anchors:
        return []
    middle = statistics.median_high(anchors)
    wrong: list[Slot] = []
    for slot in mixed:
        rivals = [s for s in said if s.name == slot.name and not s.negated]
        nearest = min(rivals, key=lambda s: abs(s.first - middle), default=slot)
        if all(nearest.value != s.value for s in wording.slots if s.name == slot.name):
            wrong.append(nearest)
    return wrong


def left_out(wording: Wording, tokens: Sequence[Token], language: Language) -> str:
    """The parts of the wording whose words of weight were not said, as it prints them.

    A part begins with the words before it that are no joint ("through the window"), and swallows
    a word or two between it and the next. A word that denies takes the next along ("no longer").
    """
    hit = found(wording.terms, tokens, language)
    joints = {word for form in language.lexicon.joints for word in form}
    words = wording.text.split()
    parts: list[tuple[int, int]] = []
    first = 0  # where the next part would begin
    for token in wording.tokens:
        name = term(token, language)
        if name in hit or (name is None and token.form in joints and first == token.first):
            first = token.end
        if name is None or name in hit:
            continue
        denies = token.form in language.lexicon.negations
        end = min(token.end + denies, len(words))
        if parts and first - parts[-1][1] <= SWALLOWED:
            parts[-1] = (parts[-1][0], end)
        else:
            parts.append((first, end))
        first = end
    words = _within(words)
    texts = [" ".join(words[first:last]).strip(".,!?;:") for first, last in parts]
    return language.lexicon.reasons["joined"].join(texts)


def _within(words: Sequence[str]) -> list[str]:
    """The words of a sentence without its capital, to be quoted within another."""
    return [word.lower() if not at and word.istitle() else word for at, word in enumerate(words)]


def printed_words(wording: Wording, slot: Slot) -> str:
    """The words of the wording that carry the slot, as they stand within a sentence."""
    words = _within(wording.text.split())
    first, last = wording.tokens[slot.first], wording.tokens[slot.first + slot.count - 1]
    return " ".join(words[first.first : last.end]).strip(".,!?;:")


def heard_words(span: Span, slot: Slot) -> str:
    """The words that were heard for the slot."""
    texts = [s.text for s in span.spoken[slot.first : slot.first + slot.count]] or [slot.value]
    return " ".join(dict.fromkeys(texts)).strip(".,!?;:")
