"""Metres along the cabin turned into millimetres of paper; empty stretches are shortened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

PAD = 1.2  # metres drawn to scale before and after everything that is shown
EMPTY = 2.0  # metres; a longer stretch between is shortened
MOST = 10.0  # millimetres a metre at most


@dataclass(frozen=True)
class Stretch:
    """A part of the cabin: metres from the nose, and millimetres from the top of the drawing.

    kind: "scale" where everything is drawn to one scale, "short" between those, "nose", "tail".
    """

    start: float
    end: float
    top: float
    bottom: float
    kind: str


@dataclass(frozen=True)
class Scale:
    """The stretches of a drawing, from the nose on."""

    stretches: tuple[Stretch, ...]

    @property
    def top(self) -> float:
        """Where the first begins, millimetres."""
        return self.stretches[0].top

    @property
    def bottom(self) -> float:
        """Where the last ends, millimetres."""
        return self.stretches[-1].bottom

    def y(self, metres: float) -> float:
        """Millimetres from the top; a place before or behind the drawing is at its end."""
        for one in self.stretches:
            if metres <= one.end:
                share = max(0.0, metres - one.start) / (one.end - one.start)
                return one.top + share * (one.bottom - one.top)
        return self.bottom

    def shows(self, metres: float) -> bool:
        """Whether the place lies in the drawing."""
        return self.stretches[0].start <= metres <= self.stretches[-1].end

    def of(self, kind: str) -> tuple[Stretch, ...]:
        """The stretches of this kind."""
        return tuple(one for one in self.stretches if one.kind == kind)


@dataclass(frozen=True)
class Room:
    """What is drawn: metres from start to end, as millimetres from top to bottom.

    nose, tail: whether the aircraft's ends belong to it.
    """

    start: float
    end: float
    top: float
    bottom: float
    nose: bool = True
    tail: bool = True


def scale(shown: Iterable[float], room: Room) -> Scale:
    """The scale on which the shown places, metres from the nose, lie as far apart as can be."""
    parts = _parts(sorted(shown), room)
    height = room.bottom - room.top
    fixed = {"nose": height * 0.085, "tail": height * 0.075, "short": height * 0.05}
    metres = sum(end - start for start, end, kind in parts if kind == "scale")
    left = height - sum(fixed[kind] for _, _, kind in parts if kind != "scale")
    stretches, top = [], room.top
    for start, end, kind in parts:
        long = fixed[kind] if kind != "scale" else (end - start) * min(MOST, left / metres)
        stretches.append(Stretch(start, end, top, top + long, kind))
        top += long
    return Scale(tuple(stretches))


def _parts(shown: list[float], room: Room) -> list[tuple[float, float, str]]:
    """Start, end and kind of every stretch, in order and without gaps."""
    near = _near(shown, room)
    parts = [(*near[0], "scale")]
    for before, after in pairwise(near):
        parts += [(before[1], after[0], "short"), (*after, "scale")]
    if room.nose and near[0][0] > room.start:
        parts.insert(0, (room.start, near[0][0], "nose"))
    if room.tail and near[-1][1] < room.end:
        parts.append((near[-1][1], room.end, "tail"))
    return parts


def _near(shown: list[float], room: Room) -> list[tuple[float, float]]:
    """Where something is near, with PAD about it; what is close together is one."""
    least = room.start + (0.6 if room.nose else 0.0)  # some of the nose always stays
    most = room.end - (0.6 if room.tail else 0.0)
    spans: list[tuple[float, float]] = []
    for at in shown or [(room.start + room.end) / 2]:
        start, end = max(least, at - PAD), min(most, at + PAD)
        if spans and start - spans[-1][1] < EMPTY:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((start, end))
    return spans
