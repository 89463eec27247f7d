"""Korean verbs put into a form: what another verb sounds like in the form of a given word."""

from __future__ import annotations

from functools import lru_cache

from rehearse.language.korean_syllables import made, parts
from rehearse.language.korean_words import contracted

# Endings as they stand after a consonant that is no "ㄹ" ("잡는다", "잡습니다", "잡으면", "잡어서",
# whose "어" may become "아").
ENDINGS = (
    "다 고 고서 지 지만 기 기를 기가 기까지 게 도록 거나 자 자마자 던 던지 겠다 겠습니다 "
    "는 는다 는지 는데 습니다 습니까 은 은지 을 을까요 음 음을 으면 으면서 으며 으니 으니까 "
    "으라고 으려고 으려면 으십시오 으세요 어 어서 어야 어라 어요 어도 "
    "었다 었고 었는 었는지 었으면 었으며 었습니다 었을 었던"
).split()
_BRIGHT = {"ㅏ", "ㅗ"}  # vowels after which "어" is "아"
_DROPS = "ㄴㅂㅅ"  # before these a stem loses its "ㄹ"


def in_same_form(word: str, verb: str, other: str) -> str:
    """The other verb in the form that the word is of its verb ("연다": "닫는다"); "" for none."""
    for ending in ENDINGS:
        if conjugated(verb, ending) == word:
            return conjugated(other, ending)
    return ""


@lru_cache(maxsize=20_000)
def conjugated(verb: str, ending: str) -> str:
    """A verb, given by its dictionary form, with one of the endings above."""
    stem = verb[:-1]
    first, rest = ending[0], ending[1:]
    onset, vowel, final = parts(first)
    if (onset, vowel) == ("ㅇ", "ㅓ"):
        return _with_vowel(stem, final) + rest
    if (onset, vowel) == ("ㅇ", "ㅡ"):
        return _with_bridge(stem, final, rest)
    if ending.startswith(("는다", "습니")):
        return _shortened(stem, ending)
    return (_without_l(stem) if onset in _DROPS else stem) + ending


def _with_vowel(stem: str, final: str) -> str:
    """The stem with "어", or with "었" where there is a final consonant."""
    head, last = stem[:-1], stem[-1]
    onset, vowel, own = parts(last)
    if own:
        return stem + made("ㅇ", "ㅏ" if vowel in _BRIGHT else "ㅓ", final)
    if not head and vowel == "ㅣ":  # "비다": "비어"
        return stem + made("ㅇ", "ㅓ", final)
    text, joined = next(contracted(head, last, onset, vowel))
    return text + made(*joined, final)


def _with_bridge(stem: str, final: str, rest: str) -> str:
    """The stem with an ending in "으", which only a consonant other than "ㄹ" asks for."""
    onset, vowel, own = parts(stem[-1])
    if own not in {"", "ㄹ"}:
        return stem + made("ㅇ", "ㅡ", final) + rest
    if not final:
        return (_without_l(stem) if parts(rest[0])[0] in _DROPS else stem) + rest
    return stem[:-1] + made(onset, vowel, "ㄻ" if own and final == "ㅁ" else final) + rest


def _shortened(stem: str, ending: str) -> str:
    """ "는다" and "습니다", which are "ㄴ다" and "ㅂ니다" after a vowel or "ㄹ"."""
    onset, vowel, own = parts(stem[-1])
    if own not in {"", "ㄹ"}:
        return stem + ending
    return stem[:-1] + made(onset, vowel, "ㄴ" if ending[0] == "는" else "ㅂ") + ending[1:]


def _without_l(stem: str) -> str:
    onset, vowel, own = parts(stem[-1])
    return stem[:-1] + made(onset, vowel, "") if own == "ㄹ" else stem
