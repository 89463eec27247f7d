"""Speech that a recogniser left unread: of a command shouted twice it may print only one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rehearse.events import Heard, SlotCheck
from rehearse.hear import energy
from rehearse.hear.endpoint import Segment
from rehearse.hear.recogniser import RATE

_LEAST = 0.5  # seconds of further sound that may be a saying of its own
_PAUSE = 0.12  # seconds of quiet before it: without any it is the last word, drawn out
_EARLY = 0.15  # seconds that a recogniser may end the last word before its end
_BEFORE = 0.1  # seconds of the pause that go with it

_FRAME = energy.FRAME / RATE


def unread(segment: Segment, heard: Heard) -> Segment | None:
    """What follows the last word of an utterance after a pause; None when nothing does."""
    if not heard.words:
        return None
    since = heard.words[-1].end + _EARLY
    if segment.end - since < _LEAST:
        return None
    first = round((since - _EARLY - segment.time) / _FRAME)
    power = energy.frame_power(segment.sound)
    loud = energy.audible(power, segment.floor)[: round((segment.end - segment.time) / _FRAME)]
    begin = _after_pause(loud, first)
    if begin is None or float(loud[begin:].sum()) * _FRAME < _LEAST:
        return None
    start = segment.time + begin * _FRAME
    if segment.end - start < _LEAST:
        return None
    cut = max(0, begin * energy.FRAME - int(_BEFORE * RATE))
    return Segment(
        segment.sound[cut:].copy(), segment.time + cut / RATE, start, segment.end, segment.floor
    )


def joined(heard: Heard, rest: Heard) -> Heard:
    """One utterance of what was read at first and of what followed it.

    Its level and its alternatives are the first's, whose sound was the whole segment.
    """
    words = (*heard.words, *rest.words)
    checks = None if heard.checks is None else (*heard.checks, *_after(rest, len(heard.words)))
    return replace(
        heard,
        end=rest.end,
        text=f"{heard.text} {rest.text}",
        words=words,
        free=f"{heard.free} {rest.free}",
        checks=checks,
        support=min((s for s in (heard.support, rest.support) if s is not None), default=None),
    )


def _after(rest: Heard, words: int) -> tuple[SlotCheck, ...]:
    """The checks of an utterance that follows so many words."""
    return tuple(replace(check, first=check.first + words) for check in rest.checks or ())


def _after_pause(loud: np.ndarray[tuple[int], np.dtype[np.bool_]], first: int) -> int | None:
    """The first audible frame after the first pause from a frame on."""
    quiet = 0
    for at in range(max(0, first), len(loud)):
        if loud[at] and quiet * _FRAME >= _PAUSE:
            return at
        quiet = 0 if loud[at] else quiet + 1
    return None
