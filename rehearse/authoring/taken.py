"""What an import is for, and what it makes: the values that go in and come out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rehearse.authoring.doubts import Doubt
from rehearse.authoring.drafted import DraftProcedure


@dataclass(frozen=True)
class Target:
    """What the imported procedures belong to.

    file: the name of the imported file, as remarks cite it.
    manual: what a paragraph number is cited with, as "CSM"; "" cites the file.
    """

    file: str
    aircraft: str
    positions: tuple[str, ...]
    language: str
    number: int
    effective: date
    manual: str = ""


@dataclass(frozen=True)
class Taken:
    """What an import made of a file: procedures, and what is to be decided about them.

    items: how many entries were read.
    """

    procedures: tuple[DraftProcedure, ...]
    doubts: tuple[Doubt, ...]
    items: int = 0
