"""The timeline picture: a scene in seconds laid out in rows of shapes. Pure.

The page's template only draws what is laid out here. Long takes wrap into rows, so that words stay
readable, and a long stretch in which nothing happens becomes one thin row.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable
from dataclasses import dataclass

from rehearse.record.picture import Row, Scale, Sheet
from rehearse.record.row import quiet_row, row
from rehearse.record.scene import Scene
from rehearse.record.waveform import Waveform

QUIET_SECONDS = 20.0  # a longer stretch without anything is drawn thin
_MARGIN = 1.0  # seconds of it that stay with what comes before and after
_LOUDEST_AT_LEAST = 0.05  # of full scale: below it, noise would be drawn like speech
_MOST_STRETCHED = 2.0  # how much wider than usual a short take may be drawn
_LEAST_FILLED = 0.5  # of a row, when it ends early so as to split no sentence
_BEFORE = 0.05  # seconds a row ends before the sentence it leaves to the next


@dataclass(frozen=True)
class Timeline:
    """The picture for one sheet."""

    sheet: Sheet
    rows: tuple[Row, ...]


def timeline(shown: Scene, wave: Waveform | None, sheet: Sheet) -> Timeline:
    """The picture of a scene; without a waveform it shows only when there was speech."""
    loudest = max(wave.peaks, default=0.0) if wave is not None else 0.0
    gain = 1.0 / max(loudest, _LOUDEST_AT_LEAST)
    room = sheet.width - sheet.gutter
    # A take shorter than a row is stretched; all others share one scale, so rows compare.
    usual = room / min(max(shown.end, sheet.seconds / _MOST_STRETCHED), sheet.seconds)
    rows = []
    for start, end, quiet in stretches(shown, sheet.seconds):
        per_second = room / (end - start) if quiet else usual
        scale = Scale(start, end, sheet.gutter, per_second)
        if quiet:
            rows.append(quiet_row(wave, gain, scale))
        else:
            rows.append(row(shown, wave, gain, sheet, scale))
    return Timeline(sheet, tuple(rows))


def stretches(shown: Scene, seconds: float) -> tuple[tuple[float, float, bool], ...]:
    """The rows of a take as start, end and whether nothing happens, covering it without gaps.

    No row is longer than `seconds` unless nothing happens in it.
    """
    sentences = _merged(
        [(speech.start, speech.end) for speech in shown.speeches]
        + [(prompt.start, prompt.end) for prompt in shown.prompts]
    )
    words = _merged((word.start, word.end) for speech in shown.speeches for word in speech.words)
    rows: list[tuple[float, float, bool]] = []
    for start, end, quiet in _busy_and_quiet(shown):
        while not quiet and end - start > seconds:
            cut = _free(sentences, start, seconds) or _free(words, start, seconds)
            cut = cut or start + seconds
            rows.append((start, cut, quiet))
            start = cut
        rows.append((start, end, quiet))
    return tuple(rows)


def _free(taken: list[tuple[float, float]], start: float, seconds: float) -> float | None:
    """The latest moment in the second half of a row from `start` that splits nothing, if any."""
    latest = start + seconds
    at = bisect.bisect_left(taken, (latest, -math.inf)) - 1
    while at >= 0 and taken[at][1] > latest:
        latest = taken[at][0] - _BEFORE
        at -= 1
    return latest if latest >= start + _LEAST_FILLED * seconds else None


def _merged(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The spans in order, those that overlap made one."""
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def _busy_and_quiet(shown: Scene) -> list[tuple[float, float, bool]]:
    """The take cut where it falls silent for long and where it goes on."""
    parts: list[tuple[float, float, bool]] = []
    since = done = 0.0
    end_of_all = max(shown.end, 1.0)
    beyond = end_of_all + 2 * _MARGIN
    for start, end in [*_happening(shown), (beyond, beyond)]:
        if start - done > QUIET_SECONDS + 2 * _MARGIN:
            quiet_from = math.ceil(done + _MARGIN) if done else 0.0
            quiet_to = min(float(math.floor(start - _MARGIN)), end_of_all)
            if quiet_from > since:
                parts.append((since, quiet_from, False))
            parts.append((quiet_from, quiet_to, True))
            since = quiet_to
        done = max(done, end)
    if end_of_all > since:
        parts.append((since, end_of_all, False))
    return parts


def _happening(shown: Scene) -> list[tuple[float, float]]:
    everything = (
        shown.speeches,
        shown.judgements,
        shown.prompts,
        shown.ghosts,
        shown.marks,
    )
    return sorted((thing.start, thing.end) for things in everything for thing in things)
