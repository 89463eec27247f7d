"""How the width of a plan is shared out: labels, doors, cabin, doors, labels."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.paper.letters import clip
from rehearse.plan.lettering import width
from rehearse.register.model import Register

MARK = 4.4  # millimetres, height of every marker
LETTERS = 2.3  # millimetres, size of what stands in one
BEND = 6.0  # millimetres in which a line goes from the doors to its label
_ACROSS = 8.0  # millimetres of paper for a metre across the cabin, where there is room
_LEAST, _MOST = 26.0, 44.0  # millimetres across the cabin
_CHEVRON = 1.5
_LONGEST = 6  # letters of a door's id that are shown


@dataclass(frozen=True)
class Frame:
    """Where the parts of a plan lie across; millimetres.

    cabin: its width on paper. doors: room for doors outside either wall. metres: its true width.
    """

    width: float
    cabin: float
    doors: float
    metres: float
    labelled: bool = True

    @property
    def left(self) -> float:
        """The left wall."""
        return (self.width - self.cabin) / 2

    @property
    def right(self) -> float:
        """The right wall."""
        return (self.width + self.cabin) / 2

    @property
    def label(self) -> float:
        """How wide a label may be."""
        return self.left - self.doors - BEND

    def x(self, metres: float) -> float:
        """Where a place lies, metres to the right of the centreline."""
        return self.width / 2 + metres * self.cabin / self.metres


def frame(register: Register, wide: float, *, labelled: bool = True) -> Frame:
    """The parts of a plan that is so wide; one without labels uses all of it for the cabin."""
    doors = max(door_width(door.id) for door in register.doors) + 2 * _CHEVRON + 1.0
    across = max(_LEAST, min(_MOST, register.width * _ACROSS))
    cabin = across if labelled else min(across, wide - 2 * doors)
    return Frame(wide, cabin, doors, register.width, labelled)


def door_text(door: str) -> str:
    """A door's id as it stands in its marker."""
    return clip(door.upper() if len(door) <= _LONGEST else door, _LONGEST)


def door_width(door: str) -> float:
    """How wide the marker of a door is."""
    return width(door_text(door), LETTERS) + 2.0
