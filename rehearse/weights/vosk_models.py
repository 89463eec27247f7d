"""Vosk models that a user added: where they may lie, and which language each is for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from rehearse.weights.store import models_folder

_NAME = re.compile(r"vosk-(?:model-)?(?:(?:small|big|large)-)?([a-z]{2})(?![a-z])")
_NEEDED = ("am/final.mdl", "conf/model.conf")


@dataclass(frozen=True)
class Added:
    """A model a user added. language: its ISO 639-1 code; "" when its name does not tell.

    lacking: files without which it cannot be used.
    """

    folder: Path
    language: str
    lacking: tuple[str, ...]

    @property
    def usable(self) -> bool:
        """Whether it can be loaded for a language."""
        return bool(self.language) and not self.lacking

    @property
    def size(self) -> int:
        """Bytes of all its files."""
        return sum(file.stat().st_size for file in self.folder.rglob("*") if file.is_file())


def own_models_folder() -> Path:
    """Where models go when the package's own folder cannot be written; it may not exist."""
    return user_data_path("rehearse", appauthor=False) / "models"


def places() -> tuple[Path, ...]:
    """Where models are looked for, in order."""
    return models_folder(), own_models_folder()


def added_models() -> Iterator[Added]:
    """Every folder whose name begins "vosk-", by place and name."""
    for place in places():
        for folder in sorted(place.glob("vosk-*")):
            if folder.is_dir():
                named = _NAME.match(folder.name)
                lacking = tuple(file for file in _NEEDED if not (folder / file).is_file())
                yield Added(folder, named.group(1) if named else "", lacking)


def find_model(language: str) -> Path | None:
    """The first usable model of a language, or None."""
    found = (each.folder for each in added_models() if each.usable and each.language == language)
    return next(found, None)
