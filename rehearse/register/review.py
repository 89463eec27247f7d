"""The silent review of one crew position, assembled from its procedures and the register; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rehearse.book.model import Procedure
from rehearse.register.answers import opened
from rehearse.register.model import Position, Register, Station
from rehearse.register.phrasing import phrasing
from rehearse.register.question import Question


@dataclass(frozen=True)
class Review:
    """What a position goes through before a flight or a check.

    duties: sentences about seat, doors, area and equipment. at_hand: what lies in its zone.
    procedures: its procedures in the order of the manual. questions: what to ask oneself.
    """

    register: Register
    position: Position
    duties: tuple[str, ...]
    at_hand: tuple[str, ...]
    procedures: tuple[Procedure, ...]
    questions: tuple[Question, ...]


def review(
    register: Register,
    position: Position,
    procedures: Iterable[Procedure],
    questions: Sequence[Question],
) -> Review:
    """The review of a position.

    procedures: any; those of other aircraft and positions are left out.
    questions: what it asks itself, drawn elsewhere.
    """
    own = (p for p in procedures if p.aircraft == register.aircraft)
    mine = (p for p in own if not p.positions or position.id in p.positions)
    return Review(
        register,
        position,
        _duties(register, position),
        _at_hand(register, position),
        tuple(sorted(mine, key=in_manual)),
        tuple(questions),
    )


def in_manual(procedure: Procedure) -> tuple[tuple[int, ...], str]:
    """What puts procedures into the order of the manual: their paragraph, then their title."""
    return tuple(map(int, re.findall(r"\d+", procedure.revision.source))), procedure.title


def _duties(register: Register, position: Position) -> tuple[str, ...]:
    words = phrasing(register.language)
    doors = opened(register, position.id)
    place = register.zone(position.zone).place
    sentences = [
        words.text("seat", place=place),
        words.text("review_opens", answer=doors) if doors else words.text("review_opens_none"),
        words.text("review_area", answer=position.area),
    ]
    if position.takes:
        taken = (
            words.text(
                "review_taken",
                name=register.kind(item.kind).name,
                place=register.station(item.station).place,
            )
            for item in position.takes
        )
        sentences.append(words.text("review_takes", answer=words.listed(taken)))
    sentences.append(words.text("review_leaves", answer=register.door(position.leaves).name))
    return tuple(sentences)


def _at_hand(register: Register, position: Position) -> tuple[str, ...]:
    """The stations of the position's zone, the nearest first."""
    words = phrasing(register.language)
    inside = [station for station in register.stations if station.zone == position.zone]

    def far(station: Station) -> float:
        return abs(station.at[0] - position.at[0]) + abs(station.at[1] - position.at[1])

    return tuple(
        words.text(
            "at_hand",
            place=station.place[:1].upper() + station.place[1:],
            items=words.items(register, station.items),
        )
        for station in sorted(inside, key=far)
    )
