"""A question about an aircraft, and what belongs to its answer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Form(StrEnum):
    """What an answer consists of."""

    KINDS = "kinds"  # equipment, with numbers
    STATIONS = "stations"
    NUMBER = "number"
    POSITIONS = "positions"
    DOORS = "doors"
    SENTENCE = "sentence"  # judged by meaning, as a step of a procedure is


@dataclass(frozen=True)
class Part:
    """One part of an answer.

    id: of the kind, station, position or door; the number itself; or "answer" for a sentence.
    name: as it is said, with its number: "two smoke hoods". bare: the same without its number.
    count: how many; for a station how many of the kind asked for are there; else 1.
    """

    id: str
    name: str
    bare: str = ""
    count: int = 1


@dataclass(frozen=True)
class Question:
    """One question.

    id: says what is asked, as "contents-3r-aft". topic: the kind of question. ask: as it is
    spoken. answer: as it is told afterwards. parts: what must be named, in any order.
    spare: ids that may be named besides. positions: whom it concerns most; empty: everybody.
    """

    id: str
    topic: str
    form: Form
    ask: str
    answer: str
    parts: tuple[Part, ...]
    spare: frozenset[str] = frozenset()
    positions: frozenset[str] = frozenset()
