"""Rhythm of repeated sayings: how often, how evenly, and the longest silence. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rehearse.events import Overflow
from rehearse.measured import Measured

_TOO_FEW = "it was said too few times"
_LOST = "the device lost sound meanwhile"
_NOT_TIMED = "its time could not be measured"


@dataclass(frozen=True)
class Saying:
    """When one saying began and ended, seconds in the take."""

    start: Measured
    end: Measured


def elapsed(since: Measured, until: Measured, lost: Sequence[Overflow] = ()) -> Measured:
    """Seconds between two times; void when one is, or when the device lost sound between them."""
    if since.value is None or until.value is None:
        return Measured(None, 0.0, since.void or until.void or _NOT_TIMED)
    low, high = sorted((since.value, until.value))
    if any(low <= overflow.time <= high for overflow in lost):
        return Measured(None, 0.0, _LOST)
    return Measured(until.value - since.value, since.error + until.error)


def rate(sayings: Sequence[Saying], lost: Sequence[Overflow] = ()) -> Measured:
    """Sayings a minute, by the times from the start of one to the start of the next."""
    gaps = _gaps(sayings, lost)
    if not gaps:
        return _none(sayings, lost)
    mean = float(np.mean([gap.seconds for gap in gaps]))
    error = float(np.mean([gap.error for gap in gaps])) / len(gaps)
    return Measured(60 / mean, 60 / mean * error / mean)


def unevenness(sayings: Sequence[Saying], lost: Sequence[Overflow] = ()) -> Measured:
    """Standard deviation of the times between sayings over their mean; 0 is even."""
    gaps = _gaps(sayings, lost)
    if len(gaps) < 2:
        return _none(sayings, lost)
    seconds = [gap.seconds for gap in gaps]
    mean = float(np.mean(seconds))
    error = float(np.mean([gap.error for gap in gaps]))
    return Measured(float(np.std(seconds)) / mean, error / mean)


def longest_silence(
    sayings: Sequence[Saying], since: Measured, until: Measured, lost: Sequence[Overflow] = ()
) -> Measured:
    """Longest time in which nothing was said between two times."""
    inside = sorted(sayings, key=lambda one: one.start.value or 0.0)
    ends = [since, *(one.end for one in inside)]
    starts = [*(one.start for one in inside), until]
    gaps = [elapsed(end, start, lost) for end, start in zip(ends, starts, strict=True)]
    void = next((gap for gap in gaps if gap.value is None), None)
    return void or max(gaps, key=lambda gap: gap.value or 0.0)


@dataclass(frozen=True)
class _Gap:
    seconds: float
    error: float


def _gaps(sayings: Sequence[Saying], lost: Sequence[Overflow]) -> list[_Gap]:
    """The times from start to start that were measured."""
    between = [elapsed(one.start, other.start, lost) for one, other in pairwise(sayings)]
    return [_Gap(gap.value, gap.error) for gap in between if gap.value is not None]


def _none(sayings: Sequence[Saying], lost: Sequence[Overflow]) -> Measured:
    between = [elapsed(one.start, other.start, lost) for one, other in pairwise(sayings)]
    void = next((gap.void for gap in between if gap.value is None), _TOO_FEW)
    return Measured(None, 0.0, void)
