"""A normalised word of an utterance, tied to the printed words it came from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["word", "number", "door", "position"]


@dataclass(frozen=True)
class Token:
    """One normalised unit.

    form: lower-case text; a number in digits; a door as number and side letter
        ("2L"), a crew position as letter and number ("c4").
    kind: what the form is.
    first, count: the printed words it stands for (an index into the given sentence).
    negated: it stands within the reach of a "not".
    """

    form: str
    kind: Kind
    first: int
    count: int
    negated: bool = False

    @property
    def end(self) -> int:
        """Index just past the last printed word it stands for."""
        return self.first + self.count
