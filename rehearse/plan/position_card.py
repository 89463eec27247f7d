"""A crew position's card as a report of one page: seat, doors, commands, checks, procedures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from rehearse.book.model import Procedure
from rehearse.paper.typeset import Draft, Tree
from rehearse.plan import svg
from rehearse.plan.drawing import locator, takes
from rehearse.plan.sheet import heading
from rehearse.register.model import Door, Position, Register
from rehearse.register.phrasing import phrasing
from rehearse.register.review import review

LOCATOR = (46.0, 108.0)  # millimetres, of the small plan


def position_card(
    register: Register, position: Position, procedures: Iterable[Procedure], made: datetime
) -> Draft:
    """The card, ready to be set.

    procedures: any; those of other aircraft and positions are left out.
    made: when, timezone-aware.
    """
    mine = review(register, position, procedures, ()).procedures
    drawing = locator(register, position, *LOCATOR)
    return Draft(
        layout="position_card",
        title="Position card",
        subject=position.name,
        heading=heading(register, made),
        texts={
            "heading": f"{position.name}, {register.name}",
            "duties": [[name, list(lines)] for name, lines in _duties(register, position)],
            "commands": commands(mine),
            "procedures": [
                {"number": str(number), "title": one.title, "revision": _revision(one)}
                for number, one in enumerate(mine, 1)
            ],
            "told": drawing.told,
        },
        pictures={"locator": svg.bare(drawing)},
    )


def commands(procedures: Sequence[Procedure]) -> list[Tree]:
    """Each command once, with the numbers of the procedures it is shouted in."""
    found: dict[str, list[int]] = {}
    for number, procedure in enumerate(procedures, 1):
        for step in procedure.steps:
            if step.command and number not in found.setdefault(step.say, []):
                found[step.say].append(number)
    return [{"say": say, "from": _counted(numbers)} for say, numbers in found.items()]


def _counted(numbers: Sequence[int]) -> str:
    return f"procedure{'s' * (len(numbers) > 1)} {', '.join(map(str, numbers))}"


def _duties(register: Register, position: Position) -> list[tuple[str, Sequence[str]]]:
    words = phrasing(register.language)
    letters = takes(position)
    taken = [
        f"{letters[one.station]}: {words.text('the', name=register.kind(one.kind).name)} "
        f"{register.station(one.station).place}"
        for one in position.takes
    ]
    seat = f"{register.zone(position.zone).place}, {_beside(register, position)}"
    return [
        ("Leaves by", [_door(register.door(position.leaves))]),
        ("Seat", [seat]),
        ("Opens", [_door(register.door(door)) for door in position.opens] or ["no door"]),
        ("Checks", [position.area]),
        ("Takes", taken or ["nothing"]),
    ]


def _door(door: Door) -> str:
    return door.name if door.slide == "none" else f"{door.name}, with its {door.slide}"


def _beside(register: Register, position: Position) -> str:
    """The nearest door and how far it is along the cabin: "0.8 m forward of door two left"."""

    def far(door: Door) -> float:
        return abs(door.at[0] - position.at[0]) + abs(door.at[1] - position.at[1])

    door = min(register.doors, key=far)
    behind = position.at[0] - door.at[0]
    if abs(behind) < 0.05:
        return f"level with {door.name}"
    return f"{abs(behind):.1f} m {'aft' if behind > 0 else 'forward'} of {door.name}"


def _revision(procedure: Procedure) -> str:
    one = procedure.revision
    return f"{one.source}, rev. {one.number}"
