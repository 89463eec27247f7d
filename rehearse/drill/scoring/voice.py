"""What became of the voice over a drill: whether it fell off, rose, or clipped. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean, median

from rehearse.drill.scoring.cries import Cry
from rehearse.drill.values import Kind
from rehearse.measured import Measured

FEWEST = 6  # shouts of which a first and a last third can be told apart
CLIPS = 0.001  # share of samples at full scale from which on a shout clipped
TOO_FEW = Measured(None, 0.0, "too few shouts")
_SHOUTED = {Kind.ANSWER, Kind.FLAWED, Kind.STALE, Kind.EARLIER, Kind.FORBIDDEN}


def shouts(cries: Sequence[Cry], calm: frozenset[str]) -> list[Cry]:
    """The sayings that are shouts. calm: "stage.answer" of those that ask for a calm voice."""
    return [cry for cry in cries if cry.kind in _SHOUTED and cry.answer not in calm]


def drop(shouted: Sequence[Cry]) -> Measured:
    """How much the level fell from the first third to the last, dB."""
    levels = [cry.level for cry in shouted if cry.level.value is not None]
    first, last = _thirds(levels)
    if not first:
        return TOO_FEW
    error = math.hypot(*(_mean_error(part) for part in (first, last)))
    return Measured(_mean(first) - _mean(last), error)


def strain(shouted: Sequence[Cry]) -> Measured:
    """How much the pitch rose from the first third to the last, semitones."""
    first, last = _thirds([cry.pitch for cry in shouted if cry.pitch.value is not None])
    if not first:
        return TOO_FEW
    low, high = (median(m.value or 0.0 for m in part) for part in (first, last))
    errors = (_mean_error(first) / low, _mean_error(last) / high)
    octave = 12 / math.log(2)
    return Measured(octave * math.log(high / low), octave * math.hypot(*errors))


def share_clipped(cries: Sequence[Cry]) -> float:
    """Share of the sayings that clipped, 0..1."""
    return fmean(cry.clipped >= CLIPS for cry in cries) if cries else 0.0


def _thirds(measured: Sequence[Measured]) -> tuple[list[Measured], list[Measured]]:
    """The first and the last third; nothing where there are too few."""
    if len(measured) < FEWEST:
        return [], []
    third = len(measured) // 3
    return list(measured[:third]), list(measured[-third:])


def _mean(measured: Sequence[Measured]) -> float:
    return fmean(one.value or 0.0 for one in measured)


def _mean_error(measured: Sequence[Measured]) -> float:
    """Of the mean: errors of single sayings go either way."""
    return math.sqrt(sum(one.error**2 for one in measured)) / len(measured)
