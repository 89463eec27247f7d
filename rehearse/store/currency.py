"""What counts, handed to the programme's arithmetic: sealed results of everyone as columns.

A check counts once it is signed, with its overrules, and with the corrections that were signed
since; a past result as it came in. Until a failure's retraining is closed, that check and later
ones of the same person and element do not count (`rehearse.programme.currency`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

import numpy as np
from sqlalchemy import Connection, String, cast, func, select

from rehearse.programme.columns import NO_RETRAINING, OPEN, Columns
from rehearse.programme.currency import NO_REVISIONS, Revisions, Standing
from rehearse.programme.history import Person as Crew
from rehearse.programme.model import Element
from rehearse.programme.months import day_number
from rehearse.programme.sweep import sweep
from rehearse.store import facts, outcome, roster, tables
from rehearse.store.canonical import time_of
from rehearse.store.desk import Desk, result_row
from rehearse.store.facts import Integers
from rehearse.store.permissions import Operation
from rehearse.store.results import counting_now
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Person, Role


@dataclass(frozen=True)
class Currency:
    """`Store.currency`: what is due, worked out from what counts."""

    _desk: Desk

    def columns(
        self, actor: Actor, elements: Sequence[Element], person_id: str | None = None
    ) -> Columns:
        """All results that count, of everyone or of one person, for `programme.sweep`.

        `Columns.people` are those who were not erased; `staff` is their staff number.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_CURRENCY, person_id)
            links = Links.read(connection)
            if person_id is None:
                people = roster.everyone(connection, links, self._desk.vault)
            else:
                people = [roster.person_of(connection, links, person_id, self._desk.vault)]
            kept = [person for person in people if not person.erased]
            return _Reader(self._desk, connection, links, kept, elements).columns()

    def due(
        self,
        actor: Actor,
        elements: Sequence[Element],
        on: date,
        revisions: Revisions = NO_REVISIONS,
    ) -> list[Standing]:
        """Everything that is to be done by anyone at the end of this local date."""
        return sweep(self.columns(actor, elements), on, revisions).due()


def crew(person: Person) -> Crew:
    """A person as the programme's arithmetic sees one.

    Whose positions are not recorded needs every element when a trainee, and none when not.
    """
    positions = person.positions or (None if Role.TRAINEE in person.roles else ())
    return Crew(
        staff=person.staff_number,
        name=person.name,
        positions=positions,
        aircraft=person.aircraft or None,
        left=person.left_on,
    )


class _Reader:
    """Reads what counts of these people and elements; cell = person * elements + element."""

    def __init__(
        self,
        desk: Desk,
        connection: Connection,
        links: Links,
        people: Sequence[Person],
        elements: Sequence[Element],
    ) -> None:
        self._desk = desk
        self._connection = connection
        self._links = links
        self._people = people
        self._elements = elements
        self._person_at = {person.id: index for index, person in enumerate(people)}
        self._element_at = {element.id: index for index, element in enumerate(elements)}
        names = dict.fromkeys(chain.from_iterable(element.procedures for element in elements))
        self._procedures = tuple(names)

    def columns(self) -> Columns:
        cell, procedure, found = self._sealed()
        known, rank = np.unique(found, return_inverse=True)
        key = cell * max(known.size, 1) + rank
        order = np.argsort(key, kind="stable")
        key, cell, procedure, found = key[order], cell[order], procedure[order], found[order]

        def places(cells: list[int], packed: list[int]) -> Integers:
            """The rows of these cells and facts, which are all among them."""
            ranks = np.searchsorted(known, np.array(packed, np.int64))
            places = np.searchsorted(key, np.array(cells, np.int64) * known.size + ranks)
            return places.astype(np.int64)

        passed = facts.passed(found)
        corrected = list(self._corrected())
        passed[places([at for at, _, _ in corrected], [packed for _, packed, _ in corrected])] = [
            now for _, _, now in corrected
        ]
        closed = np.full(found.size, NO_RETRAINING, np.int64)
        entries = list(self._retraining())
        closed[places([at for at, _, _ in entries], [packed for _, packed, _ in entries])] = [
            day for _, _, day in entries
        ]
        asked = np.flatnonzero(procedure >= 0)
        return Columns(
            people=tuple(crew(person) for person in self._people),
            elements=tuple(self._elements),
            procedures=self._procedures,
            person=cell // max(len(self._elements), 1),
            element=cell % max(len(self._elements), 1),
            day=facts.days(found),
            oral=facts.oral(found),
            passed=passed,
            closed=closed,
            asked=(asked, procedure[asked], facts.revisions(found[asked])),
        )

    def _sealed(self) -> tuple[Integers, Integers, Integers]:
        """Cell, procedure (-1 for none of the programme's) and facts of every sealed result."""
        seal = tables.seal
        group = (seal.c.person, seal.c.element, seal.c.procedure)
        numbers = func.aggregate_strings(cast(seal.c.facts, String), ",")
        wanted = select(*group, func.count(), numbers).group_by(*group)
        if len(self._people) == 1:
            wanted = wanted.where(seal.c.person.in_(self._links.ids(self._people[0].id)))
        procedure_at = {name: index for index, name in enumerate(self._procedures)}
        cells, sizes, procedures, texts = [], [], [], []
        for person, element, procedure, size, text in self._connection.execute(wanted):
            cell = self._cell(person, element)
            if cell is not None:
                cells.append(cell)
                sizes.append(size)
                procedures.append(procedure_at.get(procedure, -1))
                texts.append(text)
        found = np.fromstring(",".join(texts), np.int64, sep=",") if texts else np.zeros(0, "i8")
        return (
            np.repeat(np.array(cells, np.int64), sizes),
            np.repeat(np.array(procedures, np.int64), sizes),
            found,
        )

    def _cell(self, person: str, element: str) -> int | None:
        who = self._person_at.get(self._links.one(person))
        what = self._element_at.get(element)
        if who is None or what is None:
            return None
        return who * len(self._elements) + what

    def _corrected(self) -> Iterator[tuple[int, int, int]]:
        """Cell, facts and outcome now of results that were corrected after their seal."""
        seal, over = tables.seal, tables.overrule
        late = select(over.c.result).where(over.c.after_seal == 1)
        wanted = select(seal.c.result, seal.c.person, seal.c.element, seal.c.facts)
        for result, person, element, packed in self._connection.execute(
            wanted.where(seal.c.result.in_(late))
        ).all():
            cell = self._cell(person, element)
            if cell is not None:
                row = result_row(self._connection, result)
                now = outcome.row_passed(row, counting_now(self._connection, row))
                yield cell, packed, int(now)

    def _retraining(self) -> Iterator[tuple[int, int, int]]:
        """Cell and facts of each failure, and the local date its retraining was closed on."""
        opened, closed, seal = tables.retraining, tables.retraining_closed, tables.seal
        wanted = (
            select(
                opened.c.id, seal.c.person, seal.c.element, seal.c.facts, closed.c.at, closed.c.void
            )
            .join(seal, seal.c.result == opened.c.result)
            .outerjoin(closed, closed.c.retraining == opened.c.id)
        )
        entries: dict[str, tuple[int, int, int]] = {}
        void: set[str] = set()
        for entry, person, element, packed, at, is_void in self._connection.execute(wanted):
            cell = self._cell(person, element)
            if cell is None:
                continue
            day = OPEN if at is None else day_number(self._desk.local_date(time_of(at)))
            first = entries.get(entry, (cell, packed, day))
            entries[entry] = (cell, packed, min(first[2], day))
            if is_void:
                void.add(entry)
        return (found for entry, found in entries.items() if entry not in void)
