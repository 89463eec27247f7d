"""What is heard of a Korean word: spellings that sound the same come out the same."""

from __future__ import annotations

from rehearse.language.korean_syllables import is_syllable, made, parts

_VOWELS = {"ㅐ": "ㅔ", "ㅒ": "ㅖ", "ㅙ": "ㅞ", "ㅚ": "ㅞ"}  # no longer told apart
# Final consonants as they are spoken before a pause: "낫", "낮" and "낱" end alike.
_FINALS = {
    letter: heard for heard, letters in {"ㄱ": "ㄲㄳㅋ", "ㄷ": "ㅅㅆㅈㅊㅌㅎ", "ㅂ": "ㅄㅍ"}.items()
    for letter in letters
}  # fmt: skip
# Tense and breathed onsets with the plain ones.
_PLAIN = dict(zip("ㄲㅋㄸㅌㅃㅍㅆㅉㅊ", "ㄱㄱㄷㄷㅂㅂㅅㅈㅈ", strict=True))


def skeleton(word: str) -> str:
    """The word in the syllables that are heard."""
    return "".join(map(_heard, word))


def muffled(skeleton: str) -> str:
    """The same with every onset plain, as a noisy line leaves it."""
    return "".join(map(_plain, skeleton))


def _heard(sign: str) -> str:
    if not is_syllable(sign):
        return sign
    onset, vowel, final = parts(sign)
    return made(onset, _VOWELS.get(vowel, vowel), _FINALS.get(final, final))


def _plain(sign: str) -> str:
    if not is_syllable(sign):
        return sign
    onset, vowel, final = parts(sign)
    return made(_PLAIN.get(onset, onset), vowel, final)
