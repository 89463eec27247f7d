"""The sentences that tell a trainee of a drill, by language."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import yaml

from rehearse.coach.phrasebook import filled
from rehearse.errors import RehearseError


@dataclass(frozen=True)
class Phrases:
    """One language's sentences, in the sections of `phrases/en.yaml`."""

    language: str
    sections: Mapping[str, Mapping[str, str | Mapping[str, str]]]

    def text(self, section: str, name: str, /, **words: object) -> str:
        """The sentence with its words filled in; one that depends on a count has two forms."""
        return filled(self.sections[section][name], words)


@lru_cache
def phrases(language: str) -> Phrases:
    """The shipped sentences of a language (ISO 639-1).

    Raises:
        RehearseError: there are none.
    """
    file = resources.files("rehearse.drill").joinpath("phrases", f"{language}.yaml")
    if not file.is_file():
        raise RehearseError(
            f"drills are not told in '{language}'; write 'language: en' in the drill"
        )
    return Phrases(language, yaml.safe_load(file.read_text("utf-8")))
