"""Who is checked, and what the checks came to: the values that currency is worked out from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from rehearse.programme.model import Element, Method

Outcome = Literal["passed", "failed"]


@dataclass(frozen=True)
class Person:
    """One member of the operator's staff, as far as currency is concerned.

    staff: the operator's staff number.
    positions: crew positions held; None when they are not recorded, so that every element counts
        as theirs; () for someone who is no crew member, for whom none does.
    aircraft: ids of the aircraft flown; None when they are not recorded, so that elements of every
        aircraft count as theirs; () leaves the elements that are for any aircraft.
    employed: first day of the first employment; None when it is not recorded. Checks before that
        day were another operator's and do not count.
    left: last day of employment, or None.
    """

    staff: str
    name: str = ""
    positions: tuple[str, ...] | None = None
    aircraft: tuple[str, ...] | None = None
    employed: date | None = None
    left: date | None = None

    def employed_on(self, day: date) -> bool:
        """Whether the person is employed on this day, the first and the last day included."""
        begun = self.employed is None or self.employed <= day
        return begun and (self.left is None or day <= self.left)

    def needs(self, element: Element) -> bool:
        """Whether the element is for a position and an aircraft of this person."""
        position = _shared(self.positions, element.positions) and self.positions != ()
        return position and _shared(self.aircraft, element.aircraft)


@dataclass(frozen=True)
class Retraining:
    """What a check showed must be trained again; open until it is closed.

    closed: the day it was closed, from which on it is no longer open, or None.
    """

    closed: date | None = None

    def open_on(self, day: date) -> bool:
        """Whether it is open at the end of this day."""
        return self.closed is None or self.closed > day


@dataclass(frozen=True)
class Result:
    """What one check of one element came to.

    day: the date of the check in the operator's time zone (`months.local_day`).
    revisions: procedure id and revision number of what was asked; () when it is not recorded.
    retraining: the retraining entry the check led to, or None.
    """

    staff: str
    element: str
    day: date
    method: Method
    outcome: Outcome
    revisions: tuple[tuple[str, int], ...] = ()
    retraining: Retraining | None = None


def _shared(held: tuple[str, ...] | None, wanted: tuple[str, ...]) -> bool:
    """Whether they have one in common; nothing recorded and nothing in particular always fit."""
    return held is None or not wanted or not set(held).isdisjoint(wanted)
