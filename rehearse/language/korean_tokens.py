"""Printed Korean words as tokens: particles and endings off, numbers and denials read."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from rehearse.language.korean_forms import ALONE, NATIVE, sino
from rehearse.language.korean_words import words as word_forms
from rehearse.language.token import Token

_PARTS = re.compile(r"[가-힣]+|\d[lr](?![a-z])|[a-z]+\d*|\d+")
_POSITION = re.compile(r"c\d{1,2}")
_DOOR = re.compile(r"\d[lr]")
_QUARTER = re.compile(r"(?:사|4)분의\s*(?:일|1)")
# What denies, by how the word begins: "아닙니다", "못한다" and the like as well.
_DENIALS = {
    start: denial
    for denial, starts in {
        "않다": ("않",),
        "없다": ("없",),
        "아니다": ("아니", "아닌", "아닐", "아님", "아닙", "아녔", "아녜"),
        "금지": ("금지",),
        "못하다": ("못하", "못한", "못할", "못함", "못합", "못해", "못했"),
    }.items()
    for start in starts
}
# "말고", "마세요" and the like after "-지", or after what is ruled out.
_FORBIDDING = re.compile(
    r"말(?:고|아라|아요|아|도록|며|지|자|기|길|라)|마(?:라|세요|십시오|시오|요)"
)
_BEFORE_VERBS = {"안": "안하다", "못": "못하다"}
_SIDE_WORDS = ("왼", "오른", "좌", "우")  # after these "이번" is door two, else "this time"
_SIDE = "쪽"  # "경첩쪽" is "경첩 쪽", but "왼쪽" one word
_WITH_SIDES = frozenset({"왼", "오른", "반대", "안", "바깥", "앞", "뒤", "위", "아래"})
_TO = ("에게", "한테")  # who is spoken to; the one particle that stays, as the first of these

_Reading = Callable[[str, str], "list[Token] | None"]


def raw_tokens(words: Sequence[str]) -> list[Token]:
    """One token or more a printed word, doors not yet joined and nothing marked as denied."""
    printed = [unicodedata.normalize("NFC", word).lower() for word in words]
    return list(_in_turn(printed))


def _in_turn(printed: Sequence[str]) -> Iterator[Token]:
    at = 0
    while at < len(printed):
        count = _quarter(printed, at)
        if count:
            yield Token("사분의일", "word", at, count)
            at += count
            continue
        following = printed[at + 1] if at + 1 < len(printed) else ""
        for part in _PARTS.findall(printed[at]):
            yield from (replace(token, first=at) for token in word_tokens(part, following))
        at += 1


def _quarter(printed: Sequence[str], at: int) -> int:
    """How many words say "사분의 일" here; 0 for none."""
    if _QUARTER.match(printed[at]):
        return 1
    return 2 if _QUARTER.match(" ".join(printed[at : at + 2])) else 0


def word_tokens(part: str, following: str) -> list[Token]:
    """The tokens of one word in lower case; `following` is the next printed word."""
    for reading in _READINGS:
        tokens = reading(part, following)
        if tokens is not None:
            return tokens
    base = word_forms().base(part)
    if base.endswith(_SIDE) and len(base) > 1 and base[:-1] not in _WITH_SIDES:
        return [Token(base[:-1], "word", 0, 1), Token(_SIDE, "word", 0, 1)]
    if part in _TO:
        return [Token(_TO[0], "word", 0, 1)]  # "C1한테"
    if part != base and part.endswith(_TO):
        return [Token(base, "word", 0, 1), Token(_TO[0], "word", 0, 1)]
    return [Token(base, "word", 0, 1)]


def _designator(part: str, _following: str) -> list[Token] | None:
    """A door as "2L", a crew position as "C4"."""
    if _DOOR.fullmatch(part):
        return [Token(part.upper(), "door", 0, 1)]
    return [Token(part, "position", 0, 1)] if _POSITION.fullmatch(part) else None


def _denial(part: str, following: str) -> list[Token] | None:
    """A word that denies the one before it ("않는다", "말고"), or the verb after it ("안 연다").

    The latter may be written as one word ("안연다").
    """
    if part in _BEFORE_VERBS and word_forms().verb(following.strip(".,!?")) is not None:
        return [Token(_BEFORE_VERBS[part], "word", 0, 1)]
    denial = next((form for start, form in _DENIALS.items() if part.startswith(start)), None)
    if denial is None and _FORBIDDING.fullmatch(part):
        denial = "말다"
    if denial is not None:
        return [Token(denial, "word", 0, 1)]
    verb = word_forms().verb(part[1:]) if part[0] in _BEFORE_VERBS else None
    if verb is None:
        return None
    return [Token(_BEFORE_VERBS[part[0]], "word", 0, 1), Token(verb, "word", 0, 1)]


def _number(part: str, following: str) -> list[Token] | None:
    """A number: figures, "둘", or before its counter, apart or not ("육초", "두 번")."""
    if part.isdigit():
        return [Token(str(int(part[:12])), "number", 0, 1)]
    base = word_forms().base(part)
    counted = following.startswith(tuple(word_forms().counters))
    value = ALONE.get(part, ALONE.get(base))
    if value is None and part in NATIVE and (counted or len(part) > 1 or part == "두"):
        value = NATIVE[part]
    if value is None and counted:
        value = sino(part)
    if value is not None:
        return [Token(str(value), "number", 0, 1)]
    return _with_counter(base, following) or _with_counter(part, following)


def _with_counter(text: str, following: str) -> list[Token] | None:
    for counter in word_forms().counters:
        number = text.removesuffix(counter)
        if number in {text, ""} or (text == "이번" and not following.startswith(_SIDE_WORDS)):
            continue
        value = NATIVE.get(number, sino(number))
        if value is not None:
            return [Token(str(value), "number", 0, 1), Token(counter, "word", 0, 1)]
    return None


_READINGS: tuple[_Reading, ...] = (_designator, _number, _denial)
