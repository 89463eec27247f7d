"""Doors in Korean: "2번 왼쪽 문", "왼쪽 2번 문" and the like, joined into one token."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rehearse.language.token import Token

_SIDES = {"왼쪽": "L", "좌측": "L", "왼편": "L", "오른쪽": "R", "우측": "R", "오른편": "R"}
_NUMBERED = frozenset({"번"})
_DOOR = frozenset({"문", "도어"})


def with_doors(tokens: Sequence[Token]) -> list[Token]:
    """The tokens with each door's number, side and noun joined ("2L")."""
    joined: list[Token] = []
    at = 0
    while at < len(tokens):
        found = _number_first(tokens, at) or _side_first(tokens, at)
        if found is None:
            joined.append(tokens[at])
            at += 1
            continue
        first, last = tokens[at], tokens[found.end - 1]
        joined.append(Token(found.name, "door", first.first, last.end - first.first))
        at = found.end
    return joined


@dataclass(frozen=True)
class _Found:
    """A door, and the place just past its last token."""

    name: str
    end: int


def _number_first(tokens: Sequence[Token], at: int) -> _Found | None:
    """ "2번 왼쪽 문", "2번 문 왼쪽", "2번 왼쪽"."""
    number = _number(tokens, at)
    if number is None:
        return None
    after = _past(tokens, at + 1, _NUMBERED)
    side_at = _past(tokens, after, _DOOR)
    side = _side(tokens, side_at)
    return None if side is None else _Found(number + side, _past(tokens, side_at + 1, _DOOR))


def _side_first(tokens: Sequence[Token], at: int) -> _Found | None:
    """ "왼쪽 2번 문", "왼쪽 문 2번"."""
    side = _side(tokens, at)
    number_at = _past(tokens, at + 1, _DOOR)
    number = _number(tokens, number_at)
    counted = _past(tokens, number_at + 1, _NUMBERED)
    if side is None or number is None or counted == number_at + 1:
        return None
    named = counted < len(tokens) and tokens[counted].form in _DOOR
    if not named and number_at == at + 1:
        return None
    return _Found(number + side, _past(tokens, counted, _DOOR))


def _number(tokens: Sequence[Token], at: int) -> str | None:
    fits = at < len(tokens) and tokens[at].kind == "number" and len(tokens[at].form) == 1
    return tokens[at].form if fits and tokens[at].form != "0" else None


def _side(tokens: Sequence[Token], at: int) -> str | None:
    return _SIDES.get(tokens[at].form) if at < len(tokens) else None


def _past(tokens: Sequence[Token], at: int, words: frozenset[str]) -> int:
    """Just past one of these words, if it stands here."""
    return at + (at < len(tokens) and tokens[at].form in words)
