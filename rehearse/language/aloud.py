"""The words of a text as they sound, with no figure or designator left in it."""

from __future__ import annotations

import re

from rehearse.language.protocol import Language

_RUNS = re.compile(r"[^\W_]+(?:'[^\W_]+)*")
_PARTS = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*|\d+")
_DOOR = re.compile(r"\d[lr]")
_POSITION = re.compile(r"([a-z])(\d{1,2})(\D*)")

# What a single Latin letter is called where it is not called by itself.
_LETTERS = {
    "ko": dict(zip("abcdefghijklmnopqrstuvwxyz", (
        "에이 비 씨 디 이 에프 지 에이치 아이 제이 케이 엘 엠 엔 오 피 큐 알 에스 티 유 브이 "
        "더블유 엑스 와이 지").split(), strict=True)),
}  # fmt: skip


def aloud(word: str, language: Language) -> tuple[str, ...]:
    """One printed word in lower case as it sounds: "2L" as "two left", "2번" as "이 번".

    Hyphens part it, marks fall away; a position as "C4" is its letter and its number.
    """
    runs = _RUNS.findall(word.lower().replace("’", "'"))
    return tuple(sound for run in runs for sound in _run(run, language))


def _run(run: str, language: Language) -> tuple[str, ...]:
    """A run of letters and figures as it sounds."""
    if _DOOR.fullmatch(run):
        return tuple(
            part for each in language.spoken(run).split() for part in aloud(each, language)
        )
    position = _POSITION.fullmatch(run)
    if position:
        letter, number, rest = position.groups()
        named = _LETTERS.get(language.code, {}).get(letter, letter)
        return (named, *_spelt(number, language), *((rest,) if rest else ()))
    return tuple(
        sound
        for part in _PARTS.findall(run)
        for sound in (_spelt(part, language) if part.isdigit() else (part,))
    )


def _spelt(figures: str, language: Language) -> tuple[str, ...]:
    return tuple(language.lexicon.words.spelt(int(figures)).replace("-", " ").split())
