"""A measured value that says how far it may be off, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Measured:
    """One measured value. error: what it may be off by, either way, in the value's own unit.

    value is None when it could not be measured; void then says why, in a few words.
    """

    value: float | None
    error: float = 0.0
    void: str = ""


NOT_MEASURED = Measured(None, 0.0, "nothing was said")
