"""How dates, times, names and numbers read on every report."""

from __future__ import annotations

from datetime import date, datetime

from rehearse.judge.verdict import Verdict
from rehearse.paper.letters import isolated
from rehearse.paper.values import Heading, Person


def day(value: date | None) -> str:
    """2026-11-25, or nothing."""
    return "" if value is None else value.isoformat()


def minute(heading: Heading, moment: datetime) -> str:
    """2026-11-25 10:30 in the operator's zone; the heading names the zone."""
    return f"{heading.local(moment):%Y-%m-%d %H:%M}"


def clock(seconds: float | None) -> str:
    """A time in a take as m:ss.t; "" when there is none."""
    if seconds is None:
        return ""
    minutes, tenths = divmod(round(max(0.0, seconds) * 10), 600)
    return f"{minutes}:{tenths // 10:02d}.{tenths % 10}"


def span(start: float | None, end: float | None) -> str:
    """The stretch of a take in which something was said; "" when it was not."""
    if start is None:
        return ""
    return clock(start) if end is None else f"{clock(start)} to {clock(end)}"


def verdict(value: Verdict) -> str:
    """The verdict as a person says it."""
    return value.value.replace("_", " ")


def named(person: Person | None) -> str:
    """Name and staff number."""
    if person is None:
        return ""
    return f"{isolated(person.name)} ({isolated(person.staff_number)})"


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 step", "3 steps"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def grouped(digest: str) -> str:
    """A hex digest in groups of eight, easier to compare by eye."""
    return " ".join(digest[at : at + 8] for at in range(0, len(digest), 8))


def head_text(heading: Heading) -> str:
    """The chain's head as `records verify --known` takes it; without a station, with its rows."""
    return _head(heading, heading.chain_head)


def head_in_groups(heading: Heading) -> str:
    """The same, its digest in groups of eight."""
    return _head(heading, grouped(heading.chain_head))


def _head(heading: Heading, digest: str) -> str:
    if not heading.chain_station:
        return f"{digest}, {counted(heading.chain_rows, 'row')}"
    return f"{heading.chain_station}:{heading.chain_rows}:{digest}"
