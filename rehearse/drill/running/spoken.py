"""What is said around a drill, and what stops it, in the words of a language's file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

import yaml

from rehearse.drill.model import Drill
from rehearse.errors import RehearseError


@dataclass(frozen=True)
class Phrases:
    """One language's words around drills; `phrases/run-en.yaml` says what each is."""

    rows: Mapping[str, Any]

    def text(self, sentence: str, /, **words: str) -> str:
        """The sentence with its words filled in."""
        return " ".join(str(self.rows[sentence]).format(**words).split())

    def listed(self, name: str) -> tuple[str, ...]:
        """A list of phrases."""
        return tuple(map(str, self.rows[name]))


@lru_cache
def phrases(language: str) -> Phrases:
    """The phrases of a language (ISO 639-1).

    Raises:
        RehearseError: there are none.
    """
    file = resources.files("rehearse.drill").joinpath("phrases", f"run-{language}.yaml")
    if not file.is_file():
        raise RehearseError(
            f"language '{language}' has no words for drills; write 'language: en' in the drill"
        )
    return Phrases(yaml.safe_load(file.read_text("utf-8")))


def stops(text: str, drill: Drill) -> bool:
    """Whether the utterance asks for the end of the drill, in its last words or in all of them.

    Words that the drill itself may have shouted never stop it.
    """
    said = _words(text)
    if any(_within(said, _words(wording)) for wording in wordings(drill)):
        return False
    asked = map(_words, phrases(drill.language).listed("stop"))
    return any(said[-len(stop) :] == stop for stop in asked)


def wordings(drill: Drill) -> Iterable[str]:
    """Everything that may be shouted in a drill, rightly or not."""
    for stage in drill.stages:
        for answer in stage.answers:
            yield from answer.wordings
        yield from stage.never


def _words(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[^\W_]+(?:'[^\W_]+)*", text.lower().replace("’", "'")))


def _within(core: tuple[str, ...], words: tuple[str, ...]) -> bool:
    return any(words[at : at + len(core)] == core for at in range(len(words) - len(core) + 1))
