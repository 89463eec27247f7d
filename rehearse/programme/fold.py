"""`currency.valid_month` for many runs of passed checks at once, in whole months and days."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rehearse.programme.currency import valid_month
from rehearse.programme.model import Element
from rehearse.programme.months import EPOCH_MONTH, Integers, from_day_number

_FEW = 24  # runs; below that one after the other is faster than an array of them

NONE = -1  # no validity


def month_of_days(days: Integers) -> Integers:
    """Number of the month of each day since 1970, as `months.month_of`."""
    months: Integers = days.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    return months + EPOCH_MONTH


def first_days(months: Integers) -> Integers:
    """First day of each numbered month, in days since 1970."""
    days = (months - EPOCH_MONTH).astype("datetime64[M]").astype("datetime64[D]")
    return days.astype(np.int64)


def opening_days(elements: Sequence[Element], which: Integers, until: Integers) -> Integers:
    """`months.window_opens` as days since 1970, of validities that end with these months."""
    count = np.array([element.window.count for element in elements], np.int64)[which]
    by_day = np.array([element.window.unit == "days" for element in elements], np.bool_)[which]
    return np.where(
        by_day, first_days(until + 1) - count, first_days(until + 1 - np.where(by_day, 0, count))
    )


def valid_months(
    elements: Sequence[Element], which: Integers, starts: Integers, sizes: Integers, days: Integers
) -> Integers:
    """The month each run's validity ends with.

    Run r is `days[starts[r] : starts[r] + sizes[r]]`, rising, at least one, of element `which[r]`.
    """
    order = np.argsort(-sizes, kind="stable")
    which, starts, sizes = which[order], starts[order], sizes[order]
    period = np.array([element.period for element in elements], np.int64)[which]
    months = month_of_days(days)
    until = months[starts] + period
    for step in range(1, int(sizes.max(initial=0))):
        longer = int(np.searchsorted(-sizes, -step, side="left"))
        if longer < _FEW:
            for run in range(longer):
                own = days[starts[run] : starts[run] + sizes[run]]
                until[run] = _one(elements[which[run]], own)
            break
        row = starts[:longer] + step
        before = until[:longer]
        opens = opening_days(elements, which[:longer], before)
        inside = (opens <= days[row]) & (months[row] <= before)
        renewed = before + period[:longer]
        until[:longer] = np.where(
            inside, renewed, np.maximum(before, months[row] + period[:longer])
        )
    found = np.empty_like(until)
    found[order] = until
    return found


def _one(element: Element, days: Integers) -> int:
    until = valid_month(element, [from_day_number(int(day)) for day in days])
    return NONE if until is None else until
