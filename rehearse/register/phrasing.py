"""How a language puts the facts of a register into words and questions, from its file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

import yaml

from rehearse.errors import RehearseError
from rehearse.register.model import Item, Kind, Register


@dataclass(frozen=True)
class Phrasing:
    """One language's words for registers; `phrases/en.yaml` says what each part is."""

    language: str
    rows: Mapping[str, Any]

    def number(self, count: int) -> str:
        """The number as a word where there is one, else in digits."""
        numbers: list[str] = self.rows["numbers"]
        return numbers[count] if count < len(numbers) else str(count)

    def text(self, sentence: str, /, **words: str) -> str:
        """The sentence with its words filled in."""
        return str(self.rows[sentence]).format(**words)

    def listed(self, texts: Iterable[str]) -> str:
        """ "a, b and c"."""
        all_ = list(texts)
        if len(all_) < 2:
            return "".join(all_)
        return f"{', '.join(all_[:-1])} {self.rows['and']} {all_[-1]}"

    def counted(self, count: int, kind: Kind) -> str:
        """ "two smoke hoods"."""
        return self.text("counted", count=self.number(count), name=kind.named(count))

    def items(self, register: Register, items: Iterable[Item]) -> str:
        """ "one megaphone and two smoke hoods"."""
        return self.listed(self.counted(item.count, register.kind(item.kind)) for item in items)

    def words(self, name: str) -> tuple[str, ...]:
        """A list of words or phrases."""
        return tuple(map(str, self.rows[name]))

    def mapping(self, name: str) -> Mapping[str, str]:
        """Words with what they are read as."""
        return {str(key): str(value) for key, value in self.rows[name].items()}


@lru_cache
def phrasing(language: str) -> Phrasing:
    """The words of this language.

    Raises:
        RehearseError: there are none.
    """
    file = resources.files("rehearse.register").joinpath("phrases", f"{language}.yaml")
    if not file.is_file():
        raise RehearseError(f"language '{language}' has no words for registers; add {file.name}")
    return Phrasing(language, yaml.safe_load(file.read_text("utf-8")))
