"""Dates as periods count them: numbered months, their ends, and the local date of a moment."""

from __future__ import annotations

from calendar import monthrange
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from rehearse.programme.model import Element

Integers = npt.NDArray[np.int64]

EPOCH = date(1970, 1, 1)
EPOCH_MONTH = 1970 * 12
_HOUR = 3600  # seconds; no zone changes its offset twice within one
_DAY = 86400


def month_of(day: date) -> int:
    """The number of the day's month, counted from January of the year 0."""
    return day.year * 12 + day.month - 1


def first_day(month: int) -> date:
    """The first day of a numbered month.

    Raises:
        ValueError: the month is not in the years 1 to 9999.
    """
    return date(month // 12, month % 12 + 1, 1)


def last_day(month: int) -> date:
    """The last day of a numbered month, 29 February in a leap year.

    Raises:
        ValueError: as `first_day`.
    """
    year, number = month // 12, month % 12 + 1
    return date(year, number, monthrange(year, number)[1])


def window_opens(element: Element, valid_month: int) -> date:
    """The first day of the window of a validity that ends with this month.

    Without a window it is the day after the last valid day.
    """
    window = element.window
    if window.unit == "months":
        return first_day(valid_month - window.count + 1)
    return last_day(valid_month) - timedelta(days=window.count - 1)


def kept_until(element: Element, day: date) -> date:
    """The last day on which a result of this day must still be kept, at a month's end."""
    return last_day(month_of(day) + element.retention)


def local_day(moment: datetime, zone: str) -> date:
    """The date of a moment in a time zone, given by its IANA name.

    Raises:
        ValueError: the moment has no time zone of its own, so it could be any date.
        zoneinfo.ZoneInfoNotFoundError: there is no such zone.
    """
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone has no certain date; store it in UTC")
    return moment.astimezone(ZoneInfo(zone)).date()


def local_days(seconds: Integers, zone: str) -> Integers:
    """`local_day` of many moments at once: seconds since 1970 UTC to days since 1970."""
    hours, where = np.unique(seconds // _HOUR, return_inverse=True)
    starts = [_offset(int(hour) * _HOUR, zone) for hour in hours]
    ends = [_offset(int(hour) * _HOUR + _HOUR - 1, zone) for hour in hours]
    steady = (np.array(starts, np.int64) == np.array(ends, np.int64))[where]
    offsets = np.array(starts, np.int64)[where]
    for index in np.flatnonzero(~steady):
        offsets[index] = _offset(int(seconds[index]), zone)
    days: Integers = (seconds + offsets) // _DAY
    return days


def day_number(day: date) -> int:
    """Days since 1 January 1970."""
    return day.toordinal() - EPOCH.toordinal()


def from_day_number(number: int) -> date:
    """The day this many days after 1 January 1970."""
    return date.fromordinal(number + EPOCH.toordinal())


def _offset(seconds: int, zone: str) -> int:
    """Seconds that the zone is ahead of UTC at this second."""
    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    offset = moment.astimezone(ZoneInfo(zone)).utcoffset()
    return 0 if offset is None else round(offset.total_seconds())
