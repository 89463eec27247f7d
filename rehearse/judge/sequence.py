"""Before and after: whether a saying turns round the order that a step asks for."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.judge.prepared import Wording
from rehearse.judge.terms import term
from rehearse.language.english import English
from rehearse.language.token import Token

FORWARD = ("before", "then", "afterwards")  # what stands left of these comes first
NOT_REACH = 4  # tokens before the order word within which a "not" turns it round
BACKWARD = ("after", "once")  # what stands right of these comes first

_Parts = tuple[frozenset[str], frozenset[str]]


def turned_round(wording: Wording, said: Sequence[Token], language: English) -> bool:
    """Whether the step puts A before B and the saying puts B before A."""
    wanted, got = _parts(wording.tokens, language), _parts(said, language)
    if wanted is None or got is None:
        return False
    only_first, only_second = wanted[0] - wanted[1], wanted[1] - wanted[0]
    straight = len(only_first & got[0]) + len(only_second & got[1])
    crossed = len(only_first & got[1]) + len(only_second & got[0])
    both = bool(only_first & got[1]) and bool(only_second & got[0])
    return both and crossed > straight


def _parts(tokens: Sequence[Token], language: English) -> _Parts | None:
    """The terms of what comes first and of what comes second; None without an order word."""
    for at, token in enumerate(tokens):
        if at in {0, len(tokens) - 1}:
            continue
        left, right = _terms(tokens[:at], language), _terms(tokens[at + 1 :], language)
        near = tokens[max(0, at - NOT_REACH) : at]
        negated = tokens[at - 1].negated and any(t.form in {"not", "never"} for t in near)
        if token.form in FORWARD:
            return (right, left) if negated and token.form == "before" else (left, right)
        if token.form in BACKWARD or (token.form == "until" and negated):
            return right, left
    return None


def _terms(tokens: Sequence[Token], language: English) -> frozenset[str]:
    return frozenset(name for t in tokens if (name := term(t, language)) is not None)
