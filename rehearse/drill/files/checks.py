"""What one value of a drill file may be, beyond what procedures have: times, levels, sounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rehearse.book import fields
from rehearse.book.faults import Faults, nearest, shown
from rehearse.book.fields import Placed
from rehearse.book.nodes import Items, Node, Scalar
from rehearse.cues.sounds import SOUNDS
from rehearse.drill.model import Window


@dataclass(frozen=True)
class Number:
    """A check: a number within bounds, perhaps a whole one.

    unit: what of, as "dB"; "" for a bare number. example: one, as it is written.
    """

    low: float
    high: float
    unit: str
    example: str
    whole: bool = False

    @property
    def schema(self) -> dict[str, Any]:
        """As `rehearse.book.shape.Described` asks."""
        kind = "integer" if self.whole else "number"
        return {"type": kind, "minimum": self.low, "maximum": self.high}

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[float] | None:
        """As `rehearse.book.fields.Check` asks."""
        unit = f" {self.unit}" if self.unit else ""
        kind = "whole number" if self.whole else "number"
        mend = f"write a {kind} from {self.low:g} to {self.high:g}{unit}, as {self.example}"
        placed = fields.decimal(node, field, faults, mend)
        if placed is None:
            return None
        if self.whole and placed.value % 1:
            faults.add(placed.mark, field, f"{placed.value:g} is not a whole number", mend)
            return None
        if self.low <= placed.value <= self.high:
            return placed
        fault = f"{placed.value:g} is not between {self.low:g} and {self.high:g}{unit}"
        faults.add(placed.mark, field, fault, mend)
        return None


@dataclass(frozen=True)
class Draw:
    """A check: seconds, or the earliest and the latest, between which the seed of a run draws."""

    number: Number

    @property
    def schema(self) -> dict[str, Any]:
        """As `rehearse.book.shape.Described` asks."""
        pair = {"type": "array", "items": self.number.schema, "minItems": 2, "maxItems": 2}
        return {"anyOf": [self.number.schema, pair]}

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[Window] | None:
        """As `rehearse.book.fields.Check` asks."""
        if not isinstance(node, Items):
            fixed = self.number(node, field, faults)
            return None if fixed is None else Placed(Window(fixed.value, fixed.value), node.mark)
        mend = "write the earliest and the latest, as [3, 9]"
        if len(node.items) != 2:
            faults.add(node.mark, field, "this is no window of two times", mend)
            return None
        low, high = (
            self.number(item, f"{field}[{at}]", faults) for at, item in enumerate(node.items, 1)
        )
        if low is None or high is None:
            return None
        if low.value > high.value:
            faults.add(node.mark, field, "the window ends before it begins", mend)
            return None
        return Placed(Window(low.value, high.value), node.mark)


@dataclass(frozen=True)
class Dotted:
    """A check: two ids with a full stop between. of: what they are, as "procedure and step"."""

    of: str
    example: str

    @property
    def schema(self) -> dict[str, Any]:
        """As `rehearse.book.shape.Described` asks."""
        return {"type": "string", "pattern": rf"^{fields.ID.pattern}\.{fields.ID.pattern}$"}

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[str] | None:
        """As `rehearse.book.fields.Check` asks."""
        mend = f"write {self.of} with a full stop between, as {self.example}"
        if not isinstance(node, Scalar):
            faults.add(node.mark, field, "one value belongs here", mend)
            return None
        parts = node.text.split(".")
        if len(parts) == 2 and all(map(fields.is_id, parts)):
            return Placed(node.text, node.mark)
        faults.add(node.mark, field, f"{shown(node.text)} does not name {self.of}", mend)
        return None


@dataclass(frozen=True)
class Sound:
    """A check: the name of a cue sound."""

    @property
    def schema(self) -> dict[str, Any]:
        """As `rehearse.book.shape.Described` asks."""
        return {"enum": list(SOUNDS)}

    def __call__(self, node: Node, field: str, faults: Faults) -> Placed[str] | None:
        """As `rehearse.book.fields.Check` asks."""
        placed = fields.identifier(node, field, faults)
        if placed is None or placed.value in SOUNDS:
            return placed
        close = nearest(placed.value, SOUNDS)
        mend = f"write {close}" if close else f"write one of {', '.join(SOUNDS)}"
        faults.add(placed.mark, field, f"there is no sound {shown(placed.value)}", mend)
        return None
