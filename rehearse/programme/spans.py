"""Lengths of time in a programme file: `12 months`, `30 days`, `3 years`."""

from __future__ import annotations

import re

from rehearse.book.faults import Faults, shown
from rehearse.book.fields import Placed
from rehearse.book.nodes import Items, Keys, Node, Refused, Scalar
from rehearse.programme.model import Window

MAX_PERIOD = 120  # months
MAX_RETENTION = 1200  # months
_SHORTEST_MONTH = 28  # days

_SPAN = re.compile(r"([0-9]{1,4}) ?(day|month|year)s?")


def period(node: Node, field: str, faults: Faults) -> Placed[int] | None:
    """How long a check is valid: 1 to 120 months, or years as months."""
    return _months(node, field, MAX_PERIOD, "write a number of months, as '12 months'", faults)


def retention(node: Node, field: str, faults: Faults) -> Placed[int] | None:
    """How long records are kept: up to 100 years, in months."""
    return _months(node, field, MAX_RETENTION, "write months or years, as '3 years'", faults)


def window(node: Node, field: str, faults: Faults) -> Placed[Window] | None:
    """The window at the end of a validity: months or days, or `none`."""
    if isinstance(node, Scalar) and node.text == "none":
        return Placed(Window(), node.mark)
    mend = "write months or days, as '3 months' or '30 days', or none"
    span = _span(node, field, mend, faults)
    if span is None:
        return None
    count, unit = span.value
    if unit == "day" and count:
        return Placed(Window(count, "days"), span.mark)
    if unit == "month" and count:
        return Placed(Window(count, "months"), span.mark)
    faults.add(span.mark, field, f"{shown(f'{count} {unit}s')} is no window", mend)
    return None


def shorter(window: Window, period: int) -> bool:
    """Whether the window is shorter than the period, whatever its months are."""
    if window.unit == "months":
        return window.count < period
    return window.count < period * _SHORTEST_MONTH


def _months(node: Node, field: str, most: int, mend: str, faults: Faults) -> Placed[int] | None:
    span = _span(node, field, mend, faults)
    if span is None:
        return None
    count, unit = span.value
    months = count * 12 if unit == "year" else count
    if unit == "day":
        faults.add(span.mark, field, "days do not count to a month's end", mend)
    elif not 1 <= months <= most:
        faults.add(span.mark, field, f"{months} months is not between 1 and {most}", mend)
    else:
        return Placed(months, span.mark)
    return None


def _span(node: Node, field: str, mend: str, faults: Faults) -> Placed[tuple[int, str]] | None:
    """A count and its unit in the singular."""
    if isinstance(node, Items | Keys):
        kind = "a list stands" if isinstance(node, Items) else "keys stand"
        faults.add(node.mark, field, f"{kind} here where one value belongs", mend)
        return None
    if isinstance(node, Refused):
        return None
    found = _SPAN.fullmatch(" ".join(node.text.split()))
    if found is None:
        fault = "it has no value" if node.kind == "nothing" else f"{shown(node.text)} has no unit"
        if node.kind == "text":
            fault = f"{shown(node.text)} is not a length of time"
        faults.add(node.mark, field, fault, mend)
        return None
    return Placed((int(found[1]), found[2]), node.mark)
