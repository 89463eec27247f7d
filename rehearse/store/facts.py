"""What currency needs of a sealed result in one whole number, so that a million are read at once.

From the highest bit down: the local date (days since 1970), the second of that day, whether the
check was oral, whether it was passed, and the procedure's revision. Sorted numbers are sorted by
time.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from rehearse.programme.months import day_number
from rehearse.store.mishaps import NotAcceptedError
from rehearse.store.values import Method

_SECONDS = 1 << 17  # more than a day has, a long one too
_REVISIONS = 1 << 20

Integers = NDArray[np.int64]


def pack(
    *, day: date, taken_at: datetime, zone: ZoneInfo, method: Method, passed: bool, revision: int
) -> int:
    """The number of one result.

    Raises:
        NotAcceptedError: a date before 1970, or a revision that no manual has.
    """
    if not 0 <= revision < _REVISIONS:
        raise NotAcceptedError(f"revision {revision}: must be 0 to {_REVISIONS - 1}")
    if day < date(1970, 1, 1):
        raise NotAcceptedError(f"{day}: results from before 1970 cannot be kept; check the date")
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    second = int(taken_at.timestamp() - midnight.timestamp())
    flags = 2 * (method is Method.ORAL) + passed
    return ((day_number(day) * _SECONDS + second) * 4 + flags) * _REVISIONS + revision


def days(facts: Integers) -> Integers:
    """The local dates, as days since 1970."""
    return facts // (_REVISIONS * 4 * _SECONDS)


def oral(facts: Integers) -> Integers:
    """1 where the check was oral."""
    return facts // (_REVISIONS * 2) % 2


def passed(facts: Integers) -> Integers:
    """1 where it was passed when it was sealed."""
    return facts // _REVISIONS % 2


def revisions(facts: Integers) -> Integers:
    """The procedures' revision numbers."""
    return facts % _REVISIONS
