"""Korean word forms brought down to a base: particles off nouns, endings off verbs.

Nouns lose the particles that `ko.yaml` lists, one after another. A verb is known by its dictionary
form; its stems are made by the rules of the script, and what follows a stem must be made of the
endings listed. The same is done to a step and to what was said, so that a noun cut too short still
equals itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib import resources
from typing import Any

import yaml

from rehearse.language.korean_syllables import made, parts

# The vowel of a stem joined with "어".
_JOINED = dict(zip("ㅣㅗㅜㅡㅚ", "ㅕㅘㅝㅓㅙ", strict=True))
_SOFT = "는세시십니오느"  # an "ㄹ" is dropped before these
_DO = ("하", "되")  # verbs made of a noun: "확인하고", "확인되면"


@dataclass(frozen=True)
class Stem:
    """One form of a verb's stem. whole: it is a word by itself ("열어" needs more, "연" does not).

    before: the endings that follow must begin with one of these signs; "" for any.
    """

    text: str
    whole: bool = False
    before: str = ""


def stems(verb: str) -> Iterator[Stem]:
    """Every stem of a verb given by its dictionary form ("열다")."""
    stem = verb[:-1]
    head, last = stem[:-1], stem[-1]
    onset, vowel, tail = parts(last)
    yield Stem(stem)
    if tail == "ㄹ":
        yield Stem(head + made(onset, vowel, ""), before=_SOFT)
    if tail in {"", "ㄹ"}:
        yield Stem(head + made(onset, vowel, "ㄴ"), whole=True)
        yield Stem(head + made(onset, vowel, "ㄹ"), whole=True)
        yield Stem(head + made(onset, vowel, "ㅂ"))
        yield Stem(head + made(onset, vowel, "ㄻ" if tail else "ㅁ"), whole=True)
    if tail == "":
        for text, joined in contracted(head, last, onset, vowel):
            yield Stem(text + made(*joined, ""), whole=True)
            yield Stem(text + made(*joined, "ㅆ"))


def contracted(
    head: str, last: str, onset: str, vowel: str
) -> Iterator[tuple[str, tuple[str, str]]]:
    """What a stem that ends in a vowel becomes before "어": all but its last syllable, and that."""
    if last == "하":
        yield head, (onset, "ㅐ")
    elif last == "르" and head:  # "누르다": "눌러"
        before, middle, _ = parts(head[-1])
        joined = "ㅏ" if middle in {"ㅏ", "ㅗ"} else "ㅓ"
        yield head[:-1] + made(before, middle, "ㄹ"), (onset, joined)
    elif vowel == "ㅡ" and head and parts(head[-1])[1] in {"ㅏ", "ㅗ"}:
        yield head, (onset, "ㅏ")
    else:
        yield head, (onset, _JOINED.get(vowel, vowel))


class Words:
    """The word forms of `ko.yaml`."""

    def __init__(self, data: dict[str, Any]) -> None:
        self._particles = sorted(data["particles"], key=len, reverse=True)
        self._whole = frozenset(data["whole"])
        self.verbs = tuple(data["verbs"])
        self._endings = re.compile(f"(?:{'|'.join(map(re.escape, data['endings']))})*")
        self.counters = frozenset(data["counters"])
        self.asking_ends = tuple(data["asking_ends"])
        self.unreal = tuple(data["unreal"])

    @cached_property
    def _stems(self) -> tuple[tuple[Stem, str], ...]:
        """Every stem with its verb, longest first."""
        found = [(stem, verb) for verb in self.verbs for stem in stems(verb)]
        return tuple(sorted(found, key=lambda pair: -len(pair[0].text)))

    def verb(self, word: str) -> str | None:
        """The dictionary form when the word is a form of a listed verb."""
        for stem, verb in self._stems:
            if word.startswith(stem.text) and self._follows(word[len(stem.text) :], stem):
                return verb
        return None

    def _follows(self, rest: str, stem: Stem) -> bool:
        if not rest:
            return stem.whole
        if stem.before and rest[0] not in stem.before:
            return False
        return self._endings.fullmatch(rest) is not None

    @lru_cache(maxsize=20_000)  # noqa: B019 - there is one of these
    def base(self, word: str) -> str:
        """The word without particles and endings: a noun, or a verb's dictionary form."""
        if word in self._whole:
            return word
        verb = self.verb(word)
        return verb or self._made_verb(word) or self._noun(word)

    def _made_verb(self, word: str) -> str | None:
        """The noun of "확인한다", "해제되면"; None for other words."""
        for at in range(len(word) - 1, 0, -1):
            if self.verb(word[at:]) in {f"{do}다" for do in _DO}:
                return self._noun(word[:at])
        return None

    def _noun(self, word: str) -> str:
        stripped = True
        while stripped and word not in self._whole:
            stripped = False
            for particle in self._particles:
                if len(word) > len(particle) and word.endswith(particle):
                    word, stripped = word[: -len(particle)], True
                    break
        return word


@lru_cache
def words() -> Words:
    """The shipped word forms."""
    text = resources.files("rehearse.language").joinpath("ko.yaml").read_text("utf-8")
    return Words(yaml.load(text, yaml.BaseLoader))  # noqa: S506 - makes no objects
