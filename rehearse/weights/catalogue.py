"""Models that can be fetched by name: from where, how large, and the checksum they must have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import yaml

from rehearse.errors import ModelError


@dataclass(frozen=True)
class Fetchable:
    """A model's archive on the net. sha256, size: of the archive, in bytes."""

    name: str
    about: str
    licence: str
    url: str
    sha256: str
    size: int


@lru_cache
def catalogue() -> Mapping[str, Fetchable]:
    """Every model that can be fetched, by name."""
    text = (files("rehearse.weights") / "catalogue.yaml").read_text("utf-8")
    return {
        name: Fetchable(
            name, row["about"], row["licence"], row["url"], row["sha256"], int(row["bytes"])
        )
        for name, row in yaml.safe_load(text).items()
    }


def fetchable(name: str) -> Fetchable:
    """The model of this name. Raises ModelError, which lists the known ones."""
    found = catalogue().get(name)
    if found is None:
        known = ", ".join(catalogue())
        raise ModelError(f"models add: no model '{name}' is known; known are {known}")
    return found
