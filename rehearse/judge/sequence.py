"""Before and after: whether a saying turns round the order that a step asks for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.judge.prepared import Wording
from rehearse.judge.terms import term
from rehearse.language import Language
from rehearse.language.grammar import Grammar
from rehearse.language.token import Token

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
    grammar = language.lexicon.grammar
    for at, opening in _order_words(tokens, language):
        if opening:
            for middle in range(at + 2, len(tokens)):
                yield _opened(tokens, at, middle, language)
            return
        form = tokens[at].form
        denied = form in grammar.not_until and _denied(tokens, at, language)
        if not denied and form not in grammar.left_first | grammar.right_first:
            continue
        pointing = form in grammar.pointed and tokens[at + 1].form in grammar.pointers
        left, right = _terms(tokens[:at], language), _terms(tokens[at + 1 :], language)
        left_first = (form in grammar.left_first) != pointing
        if denied:  # "not A before B": B first; where a denial stands behind, "before A not B"
            left_first = form in grammar.right_first
        yield (left, right) if left_first else (right, left)
        return


def _order_words(tokens: Sequence[Token], language: Language) -> Iterator[tuple[int, bool]]:
    """Where order words stand, and whether they open the sentence."""
    lexicon, grammar = language.lexicon, language.lexicon.grammar
    small = lexicon.stop_words - lexicon.negations
    opening = True
    for at, token in enumerate(tokens[:-1]):
        if token.form in grammar.order_words and not (opening and _empty(tokens, at, grammar)):
            yield at, opening
        opening = opening and (token.form in small or (token.form,) in lexicon.fillers)


def _empty(tokens: Sequence[Token], at: int, grammar: Grammar) -> bool:
    """Whether an order word that opens the sentence orders nothing in it ("then", "after that")."""
    return tokens[at].form in grammar.orderless or tokens[at + 1].form in grammar.pointers


def _opened(tokens: Sequence[Token], at: int, middle: int, language: Language) -> _Parts:
    """The parts of "after X Y", where Y begins at `middle`."""
    inner = _terms(tokens[at + 1 : middle], language)
    outer = _terms(tokens[middle:], language)
    left_first = language.lexicon.grammar.left_first
    return (outer, inner) if tokens[at].form in left_first else (inner, outer)


def _denied(tokens: Sequence[Token], at: int, language: Language) -> bool:
    """Whether the clause left of the order word is under a "not" that governs its verb.

    Where a denial stands behind what it denies, the clause on the right.
    """
    lexicon, grammar = language.lexicon, language.lexicon.grammar
    if language.denies_behind:
        return any(token.form in lexicon.negations for token in tokens[at + 1 :])
    start = at
    while start > 0 and tokens[start - 1].negated:
        start -= 1
    if start in {0, at}:
        return False
    if any(token.form in grammar.pronouns for token in tokens[start:at]):
        return False
    negation = tokens[start - 1].form
    before = tokens[start - 2].form if start > 1 else ""
    opens = before == "" or before in lexicon.negation_ends
    if negation in grammar.nevers | grammar.nobody:
        return True
    if negation in grammar.nots:
        return opens or before in grammar.auxiliaries or before in lexicon.stop_words
    return negation in grammar.noes and (opens or before in lexicon.stop_words)


def _terms(tokens: Sequence[Token], language: Language) -> frozenset[str]:
    return frozenset(name for t in tokens if (name := term(t, language)) is not None)
