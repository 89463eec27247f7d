"""The words by which an imported text shows what a person must decide, as data of a language."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import lru_cache
from importlib import resources

import yaml


@dataclass(frozen=True)
class SignWords:
    """Words and phrases in lower case; see `words-en.yaml` for what each list is."""

    labels: tuple[str, ...] = ()
    dangers: tuple[str, ...] = ()
    critical: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    shouts: tuple[str, ...] = ()
    references: tuple[str, ...] = ()
    passed_over: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()


@lru_cache
def sign_words(code: str) -> SignWords:
    """The words of a language; of one that has none here, none, and its signs are not told."""
    file = resources.files("rehearse.authoring").joinpath(f"words-{code}.yaml")
    if not file.is_file():
        return SignWords()
    data = yaml.load(file.read_text("utf-8"), yaml.BaseLoader)  # noqa: S506 - all is text
    return SignWords(**{field.name: tuple(data[field.name]) for field in fields(SignWords)})


def first_found(text: str, phrases: Iterable[str]) -> str | None:
    """The first of the phrases that stands in the text as whole words, or None."""
    lower = text.lower().replace("’", "'")
    for phrase in phrases:
        if re.search(rf"(?<![\w']){re.escape(phrase)}(?![\w'])", lower):
            return phrase
    return None
