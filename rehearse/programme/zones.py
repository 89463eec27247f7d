"""The operator's time zone, by its IANA name."""

from __future__ import annotations

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from rehearse.book.faults import Faults, nearest, shown
from rehearse.book.fields import Placed, label
from rehearse.book.nodes import Node


def zone(node: Node, field: str, faults: Faults) -> Placed[str] | None:
    """A time zone that this machine knows the dates of."""
    placed = label(node, field, faults)
    if placed is None or is_zone(placed.value):
        return placed
    close = nearest(placed.value, available_timezones())
    mend = f"write '{close}'" if close else "write region and city, as Europe/Helsinki, or UTC"
    fault = f"the time zone {shown(placed.value)} is not known"
    faults.add(placed.mark, field, fault, mend)
    return None


def is_zone(name: str) -> bool:
    """Whether there is a time zone of this name, in exactly this spelling."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # a part of a name is a folder
        return False
    return name in available_timezones()
