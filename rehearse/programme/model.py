"""What a training programme is: elements with their period, window, methods and retention."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

Method = Literal["oral", "practical"]
Allowed = Literal["oral", "practical", "both"]


@dataclass(frozen=True)
class Window:
    """The last part of an element's validity, in which a check keeps the old anchor.

    count: how many calendar months or days it has, both counted back from the last valid day,
        which is one of them; 0 for no window.
    """

    count: int = 0
    unit: Literal["days", "months"] = "months"


@dataclass(frozen=True)
class Element:
    """One thing that crew are checked on again and again.

    id: letters, digits and hyphens, unique in its programme.
    aircraft: ids of the aircraft it is for; () for any.
    positions: crew positions it is for; () for every position.
    procedures: ids of the procedures it covers; () when it is checked by practice alone.
    period: months that a passed check is valid, counted from the end of its month.
    window: see `Window`.
    method: how it may be checked; "both" means that either counts.
    rule: the rule it answers, as the operator cites it.
    retention: months that its records are kept.
    """

    id: str
    title: str
    aircraft: tuple[str, ...]
    positions: tuple[str, ...]
    procedures: tuple[str, ...]
    period: int
    window: Window
    method: Allowed
    rule: str
    retention: int

    def allows(self, method: Method) -> bool:
        """Whether a check by this method counts."""
        return self.method in {"both", method}


@dataclass(frozen=True)
class Programme:
    """One operator's programme, as one file holds it.

    zone: IANA name of the time zone whose dates all periods are counted in.
    example: it was written to show how one is written, and is no operator's programme.
    path: where it was read from; takes no part in comparing programmes.
    """

    id: str
    operator: str
    zone: str
    example: bool
    elements: tuple[Element, ...]
    path: Path | None = field(default=None, compare=False)

    def element(self, element_id: str) -> Element:
        """The element with this id. Raises KeyError when there is none."""
        for element in self.elements:
            if element.id == element_id:
                return element
        raise KeyError(element_id)
