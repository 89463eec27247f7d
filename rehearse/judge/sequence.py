"""Before and after: whether a saying turns round the order that a step asks for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.judge.prepared import Wording
from rehearse.judge.terms import term
from rehearse.language import Language
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token

FORWARD = ("before", "then", "afterwards")  # what stands left of these comes first
BACKWARD = ("after", "once")  # what stands right of these comes first
POINTERS = frozenset({"that", "which"})  # "after that": what was said comes first
SUBJECTS = frozenset({"nobody", "none", "neither"})  # who do not: "nobody turns it before ..."
NEW_SUBJECTS = frozenset({"i", "we", "you", "they", "he", "she"})  # a clause of its own begins
AUXILIARIES = frozenset(
    "do does did will would can could may must shall should is are was were have has had am be "
    "need dare i we you they please".split()
)  # what a "not" follows that governs a clause; "armed not disarmed" governs none

_Parts = tuple[frozenset[str], frozenset[str]]


def turned_round(wording: Wording, said: Sequence[Token], language: Language) -> bool:
    """Whether the step puts A before B and the saying puts B before A.

    Where the saying's order word opens it ("after X Y"), nothing heard parts X from Y: every
    place is tried, and the order is turned round only where no place makes it straight.
    """
    wanted = _wanted(wording, language)
    if wanted is None:
        return False
    first, second = wanted[0] - wanted[1], wanted[1] - wanted[0]
    straight = crossed = 0
    for left, right in _orders(said, language):
        if first & right and second & left:
            crossed = max(crossed, len(first & right) + len(second & left))
        straight = max(straight, len(first & left) + len(second & right))
    return crossed > straight


def _wanted(wording: Wording, language: Language) -> _Parts | None:
    """What the step puts first and second; None when it asks for no order."""
    orders = list(_orders(wording.tokens, language))
    if len(orders) < 2:
        return orders[0] if orders else None
    words = wording.text.split()
    stops = [i for i, t in enumerate(wording.tokens) if words[t.end - 1].endswith(",")]
    at, opening = next(_order_words(wording.tokens, language))
    if not opening or not stops:
        return None
    return _opened(wording.tokens, at, stops[0] + 1, language)


def _orders(tokens: Sequence[Token], language: Language) -> Iterator[_Parts]:
    """The terms of what comes first and of what comes second, in every way that may be meant."""
    for at, opening in _order_words(tokens, language):
        if opening:
            for middle in range(at + 2, len(tokens)):
                yield _opened(tokens, at, middle, language)
            return
        left, right = _terms(tokens[:at], language), _terms(tokens[at + 1 :], language)
        form, denied = tokens[at].form, _denied(tokens, at, language.lexicon)
        pointing = at + 1 < len(tokens) and tokens[at + 1].form in POINTERS
        if form in FORWARD:
            turned = (denied or pointing) and form == "before"
            yield (right, left) if turned else (left, right)
            return
        if form in BACKWARD or (form == "until" and denied):
            yield (left, right) if pointing and form == "after" else (right, left)
            return


def _order_words(tokens: Sequence[Token], language: Language) -> Iterator[tuple[int, bool]]:
    """Where order words stand, and whether they open the sentence."""
    opening = True
    for at, token in enumerate(tokens[:-1]):
        if token.form in {*FORWARD, *BACKWARD, "until"} and not (opening and _empty(tokens, at)):
            yield at, opening
        small = language.lexicon.stop_words - language.lexicon.negations
        opening = opening and (token.form in small or (token.form,) in language.lexicon.fillers)


def _empty(tokens: Sequence[Token], at: int) -> bool:
    """Whether an order word that opens the sentence orders nothing in it ("then", "after that")."""
    return tokens[at].form in {"then", "afterwards", "until"} or tokens[at + 1].form in POINTERS


def _opened(tokens: Sequence[Token], at: int, middle: int, language: Language) -> _Parts:
    """The parts of "after X Y", where Y begins at `middle`."""
    inner = _terms(tokens[at + 1 : middle], language)
    outer = _terms(tokens[middle:], language)
    return (outer, inner) if tokens[at].form in FORWARD else (inner, outer)


def _denied(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """Whether the clause left of the order word is under a "not" that governs its verb."""
    start = at
    while start > 0 and tokens[start - 1].negated:
        start -= 1
    if start in {0, at}:
        return False
    if any(token.form in NEW_SUBJECTS for token in tokens[start:at]):
        return False
    negation = tokens[start - 1].form
    before = tokens[start - 2].form if start > 1 else ""
    opens = before == "" or before in lexicon.negation_ends
    if negation in {"never", *SUBJECTS}:
        return True
    if negation == "not":
        return opens or before in AUXILIARIES or before in lexicon.stop_words
    return negation == "no" and (opens or before in lexicon.stop_words)


def _terms(tokens: Sequence[Token], language: Language) -> frozenset[str]:
    return frozenset(name for t in tokens if (name := term(t, language)) is not None)
