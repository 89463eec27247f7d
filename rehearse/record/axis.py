"""What runs along a row of the timeline: the outline of the sound and the time axis. Pure."""

from __future__ import annotations

import math

from rehearse.record.picture import Scale, Tick
from rehearse.record.report import clock
from rehearse.record.waveform import Waveform

_TICK_TEXTS_APART = 74.0
_TICKS_APART = 8.0
_TICK_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800, 3600)
_WAVE_STEP = 1.5  # units between two points of the wave


def outline(wave: Waveform | None, gain: float, scale: Scale, middle: float, half: float) -> str:
    """The sound between `start` and `end` as a closed path around the row's middle."""
    if wave is None:
        return ""
    first = int(scale.start / wave.seconds)
    last = min(math.ceil(scale.end / wave.seconds), len(wave.peaks))
    if last <= first:
        return ""
    step = max(1, round(_WAVE_STEP / (scale.per_second * wave.seconds)))
    upper: list[str] = []
    lower: list[str] = []
    for at in range(first, last, step):
        peak = max(wave.peaks[at : min(at + step, last)]) * gain
        # Softened, so that a calm voice still shows next to a shout.
        height = max(half * min(peak, 1.0) ** 0.7, 0.4)
        x = scale.x((at + step / 2) * wave.seconds)
        upper.append(f"{x:.1f} {middle - height:.1f}")
        lower.append(f"{x:.1f} {middle + height:.1f}")
    return "M" + "L".join([*upper, *reversed(lower)]) + "Z"


def ticks(scale: Scale) -> tuple[Tick, ...]:
    """Ticks at whole seconds, and as many times as can be read."""
    small = next((s for s in _TICK_STEPS if s * scale.per_second >= _TICKS_APART), _TICK_STEPS[-1])
    large = next(
        (s for s in _TICK_STEPS if s * scale.per_second >= _TICK_TEXTS_APART), _TICK_STEPS[-1]
    )
    first = math.ceil(scale.start / small - 1e-9) * small
    found = []
    for second in range(first, math.floor(scale.end + 1e-9) + 1, small):
        # A time that would stand across the row's end belongs to the next row.
        room = scale.right - scale.x(second) >= 0.3 * _TICK_TEXTS_APART
        text = clock(second)[:-2] if second % large == 0 and room else ""
        found.append(Tick(scale.x(second), text))
    return tuple(found)
