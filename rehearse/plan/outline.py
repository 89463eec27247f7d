"""The fuselage: walls with a nose and a tail, and zigzags where the cabin is shortened."""

from __future__ import annotations

from rehearse.plan.scale import Scale, Stretch
from rehearse.plan.shapes import path

_TEETH = 7  # of a zigzag


def walls(scale: Scale, left: float, right: float) -> tuple[str, ...]:
    """Paths of the walls; a shortened stretch has none."""
    drawn = {"nose": _nose, "tail": _tail, "scale": _sides}
    return tuple(
        line
        for one in scale.stretches
        if one.kind in drawn
        for line in drawn[one.kind](one, left, right)
    )


def breaks(scale: Scale, left: float, right: float) -> tuple[str, ...]:
    """A zigzag at either end of every shortened stretch, and where a sheet cuts the cabin."""
    ends = [y for one in scale.of("short") for y in (one.top, one.bottom)]
    ends += [] if scale.of("nose") else [scale.top]
    ends += [] if scale.of("tail") else [scale.bottom]
    return tuple(_zigzag(y, left, right) for y in sorted(ends))


def _nose(one: Stretch, left: float, right: float) -> tuple[str, ...]:
    """A pointed arch, with the two panes of the windscreen."""
    middle, half, high = (left + right) / 2, (right - left) / 2, one.bottom - one.top
    arch = (
        f"M{left:.2f} {one.bottom:.2f}"
        f"C{left:.2f} {one.bottom - 0.55 * high:.2f} {middle - 0.42 * half:.2f} {one.top:.2f} "
        f"{middle:.2f} {one.top:.2f}"
        f"S{right:.2f} {one.bottom - 0.55 * high:.2f} {right:.2f} {one.bottom:.2f}"
    )
    y = one.top + 0.52 * high
    panes = (
        path([(middle + side * 0.06 * half, y - 0.13 * high),
              (middle + side * 0.4 * half, y + 0.05 * high),
              (middle + side * 0.36 * half, y + 0.22 * high),
              (middle + side * 0.06 * half, y + 0.05 * high)]) + "Z"
        for side in (-1, 1)
    )  # fmt: skip
    return arch, *panes


def _tail(one: Stretch, left: float, right: float) -> tuple[str, ...]:
    """It tapers and ends in a short round."""
    middle, half, high = (left + right) / 2, (right - left) / 2, one.bottom - one.top
    end = one.bottom
    taper = (
        f"M{left:.2f} {one.top:.2f}"
        f"C{left:.2f} {one.top + 0.5 * high:.2f} {middle - 0.3 * half:.2f} {end - 0.2 * high:.2f} "
        f"{middle - 0.16 * half:.2f} {end - 0.06 * high:.2f}"
        f"Q{middle:.2f} {end:.2f} {middle + 0.16 * half:.2f} {end - 0.06 * high:.2f}"
        f"C{middle + 0.3 * half:.2f} {end - 0.2 * high:.2f} {right:.2f} {one.top + 0.5 * high:.2f} "
        f"{right:.2f} {one.top:.2f}"
    )
    return (taper,)


def _sides(one: Stretch, left: float, right: float) -> tuple[str, ...]:
    return tuple(path([(x, one.top), (x, one.bottom)]) for x in (left, right))


def _zigzag(y: float, left: float, right: float) -> str:
    """It stands out a little beyond the walls."""
    step = (right - left) / (2 * _TEETH)
    inner = [(left + step * at, y + (0.0, -0.8, 0.0, 0.8)[at % 4]) for at in range(2 * _TEETH + 1)]
    return path([(left - 2, y), *inner, (right + 2, y)])
