"""Korean syllables taken apart into their letters and put together."""

from __future__ import annotations

_FIRST, _LAST = 0xAC00, 0xD7A3  # the syllables of the script
_ONSETS = "ㄱㄲㄴㄷㄸㄹㅁㅂㅃㅅㅆㅇㅈㅉㅊㅋㅌㅍㅎ"
_VOWELS = "ㅏㅐㅑㅒㅓㅔㅕㅖㅗㅘㅙㅚㅛㅜㅝㅞㅟㅠㅡㅢㅣ"
_FINALS = ("", *"ㄱㄲㄳㄴㄵㄶㄷㄹㄺㄻㄼㄽㄾㄿㅀㅁㅂㅄㅅㅆㅇㅈㅊㅋㅌㅍㅎ")


def is_syllable(sign: str) -> bool:
    """Whether it is a syllable of the script."""
    return _FIRST <= ord(sign) <= _LAST


def parts(syllable: str) -> tuple[str, str, str]:
    """Onset, vowel and final consonant of a syllable; "" for no final consonant."""
    rest, final = divmod(ord(syllable) - _FIRST, len(_FINALS))
    onset, vowel = divmod(rest, len(_VOWELS))
    return _ONSETS[onset], _VOWELS[vowel], _FINALS[final]


def made(onset: str, vowel: str, final: str) -> str:
    """The syllable of these letters."""
    at = _ONSETS.index(onset) * len(_VOWELS) + _VOWELS.index(vowel)
    return chr(_FIRST + at * len(_FINALS) + _FINALS.index(final))
