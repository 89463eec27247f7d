"""Where the models lie, and the proof that every file of a model is the one that was measured.

A model is hashed in full each time it is loaded (0.02 to 0.06 s on one idle core, see
`docs/decisions/001-hash-at-every-load.md`): there is no stamp that an altered file could hide
behind.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from rehearse.errors import ModelError

ENVIRONMENT = "REHEARSE_MODELS"  # names the models folder when it is not beside the package
_BESIDE_PACKAGE = Path(__file__).resolve().parents[2] / "models"
_CHECKSUMS = "checksums.txt"
_SHOWN = 12  # hexadecimal digits of a checksum that are enough to tell two files apart


def models_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """The folder that holds one folder per model; it may not exist."""
    chosen = environment.get(ENVIRONMENT, "").strip()
    return Path(chosen).expanduser() if chosen else _BESIDE_PACKAGE


def known_models() -> tuple[str, ...]:
    """The names of all models the project ships, in the order of the checksum table."""
    return tuple(_table())


def verified(name: str, folder: Path | None = None) -> Path:
    """The folder of the model `name`, after every one of its files was hashed.

    Args:
        name: one of `known_models()`.
        folder: where to look instead of `models_folder()`.

    Raises:
        ModelError: the name is unknown, or a file is missing, altered or unreadable; one line
            that names the file, the fault and the mend.
    """
    wanted = _table().get(name)
    if wanted is None:
        raise ModelError(f"model '{name}' is not known; known are {', '.join(known_models())}")
    place = (models_folder() if folder is None else folder) / name
    for file, checksum in wanted.items():
        _check(place / file, checksum)
    return place


def present(name: str) -> bool:
    """Whether the folder of a model is there at all, whatever is in it."""
    return (models_folder() / name).is_dir()


def _check(path: Path, wanted: str) -> None:
    try:
        with path.open("rb") as stream:
            found = hashlib.file_digest(stream, "sha256").hexdigest()
    except (FileNotFoundError, NotADirectoryError):
        raise ModelError(f"{path}: missing; {_mend(path)}") from None
    except OSError as error:
        raise ModelError(
            f"{path}: cannot be read ({error.strerror or error}); "
            f"give yourself the right to read it, or {_mend(path)}"
        ) from error
    if found != wanted:
        raise ModelError(
            f"{path}: altered (sha256 {found[:_SHOWN]}..., expected {wanted[:_SHOWN]}...); "
            f"{_mend(path)}"
        )


def _mend(path: Path) -> str:
    place = path.parent
    if place.parent == _BESIDE_PACKAGE:
        return (
            f"restore it with 'git checkout -- models/{place.name}' in the project's folder, or "
            f"point {ENVIRONMENT} to a folder that holds {place.name}"
        )
    return f"copy {place.name} there again from the project's models folder, or mend {ENVIRONMENT}"


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    table: dict[str, dict[str, str]] = {}
    for line in (files("rehearse.weights") / _CHECKSUMS).read_text("utf-8").splitlines():
        checksum, path = line.split(maxsplit=1)
        model, file = path.split("/", 1)
        table.setdefault(model, {})[file] = checksum
    return table
