"""The numbers that decide verdicts, read from `thresholds.yaml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import yaml


@dataclass(frozen=True)
class Thresholds:
    """See `thresholds.yaml` for what each number means and where it came from."""

    said: float
    said_critical: float
    said_polarity: float
    unclear: float
    seconded: float
    objected: float
    sure: float
    about: float
    never: float
    doubtful_margin: float


@lru_cache
def thresholds() -> Thresholds:
    """The shipped thresholds."""
    text = resources.files("rehearse.judge").joinpath("thresholds.yaml").read_text("utf-8")
    return Thresholds(**yaml.safe_load(text))
