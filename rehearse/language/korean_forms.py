"""Korean numbers to words and back; words come down to their base in korean_words.py."""

from __future__ import annotations

from rehearse.language.forms import WordForms
from rehearse.language.korean_sounds import muffled, skeleton

SINO = {"영": 0, "공": 0, "일": 1, "이": 2, "삼": 3, "사": 4, "오": 5, "육": 6, "칠": 7, "팔": 8,
        "구": 9}  # fmt: skip
PLACES = {"십": 10, "백": 100, "천": 1000}
NATIVE = {"한": 1, "하나": 1, "두": 2, "둘": 2, "세": 3, "셋": 3, "네": 4, "넷": 4, "다섯": 5,
          "여섯": 6, "일곱": 7, "여덟": 8, "아홉": 9, "열": 10}  # fmt: skip
ALONE = {"하나": 1, "둘": 2, "셋": 3, "넷": 4, "양쪽": 2, "양손": 2}  # numbers without a counter


def sino(text: str) -> int | None:
    """The value of a number written in Sino-Korean syllables ("백팔십"); None when it is none."""
    if not text or any(sign not in SINO and sign not in PLACES for sign in text):
        return None
    total = unit = 0
    for sign in text:
        if sign in PLACES:
            total += max(unit, 1) * PLACES[sign]
            unit = 0
        else:
            if unit:
                return None
            unit = SINO[sign]
    return total + unit


def spelt(value: int) -> str:
    """A number in Sino-Korean syllables, up to 9999; larger ones stay in digits."""
    if value >= 10_000:
        return str(value)
    digits = {number: sign for sign, number in SINO.items() if sign != "공"}
    text = ""
    for sign, place in sorted(PLACES.items(), key=lambda item: -item[1]):
        count, value = divmod(value, place)
        if count:
            text += ("" if count == 1 else digits[count]) + sign
    return text + digits[value] if value or not text else text


def _same(form: str) -> str:
    return form


def _no_gerund(_form: str) -> frozenset[str]:
    return frozenset()


def _no_participle(_form: str) -> bool:
    return False


FORMS = WordForms(
    _same, spelt, frozenset(NATIVE), _no_gerund, _no_participle, skeleton, muffled, muffled
)
