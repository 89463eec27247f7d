"""What counts: the latest pass of every person and element. The periods are the programme's."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, exists, or_, select

from rehearse.store import outcome, tables
from rehearse.store.chain import Row
from rehearse.store.desk import Desk
from rehearse.store.permissions import Operation
from rehearse.store.results import counting_now
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Kind, Method, Pass

_Pair = tuple[str, str]  # a person's id and an element
_Blocks = dict[_Pair, list[tuple[str, str]]]  # from a failure until its retraining was closed
_NEVER = "9999"


@dataclass(frozen=True)
class Currency:
    """`Store.currency`: passes that count, to compute from what is due."""

    _desk: Desk

    def passes(
        self, actor: Actor, person_id: str | None = None, *, until: date | None = None
    ) -> tuple[Pass, ...]:
        """The latest pass of each person and element on or before the local date `until`.

        A pass counts when it is a signed check or a past result, passed with all overrules and
        corrections, and no failure before it waited for its retraining when it was taken.
        """
        with self._desk.reading(actor) as connection:
            self._desk.check(connection, actor, Operation.READ_CURRENCY, person_id)
            links = Links.read(connection)
            people = None if person_id is None else links.ids(person_id)
            return tuple(_Passes(connection, links, people, until).latest())


@dataclass(frozen=True)
class _Passes:
    connection: Connection
    links: Links
    people: frozenset[str] | None
    until: date | None

    def latest(self) -> Iterator[Pass]:
        best: dict[_Pair, Row] = {}
        for row in (*self._plain(), *self._corrected()):
            pair = (self.links.one(row["person"]), row["element"])
            if pair not in best or _order(row) > _order(best[pair]):
                best[pair] = row
        blocks = self._blocks()
        for pair, row in best.items():
            counts: Row | None = row
            if _blocked(row, blocks.get(pair, ())):
                counts = self._before(pair, blocks[pair])
            if counts is not None:
                yield self._pass(pair, counts)

    def _plain(self) -> list[Row]:
        """The latest pass of each pair that needs no second look: the database finds them."""
        result = tables.result
        one = tables.result.alias()
        pairs = select(result.c.person, result.c.element).distinct()
        pairs = self._chosen(pairs, result)
        some = pairs.subquery()
        newest = (
            self._within(select(one.c.id), one)
            .where(one.c.person == some.c.person, one.c.element == some.c.element)
            .where(_counts(one), ~_second_look(one))
            .order_by(one.c.taken_at.desc(), one.c.id)
            .limit(1)
            .scalar_subquery()
        )
        found = select(newest.label("id")).select_from(some).cte("newest")
        found = found.prefix_with("MATERIALIZED", dialect="postgresql")
        wanted = select(*_columns(result)).join(found, found.c.id == result.c.id)
        return [dict(row) for row in self.connection.execute(wanted).mappings()]

    def _corrected(self) -> list[Row]:
        """Passes among results that were corrected after they counted, weighed one by one."""
        result = tables.result
        wanted = self._within(self._chosen(select(result), result), result)
        corrected = select(tables.overrule.c.result).join(
            result, result.c.id == tables.overrule.c.result
        )
        corrected = corrected.where(
            or_(tables.overrule.c.after_seal == 1, result.c.kind == Kind.PAST)
        )
        rows = self.connection.execute(wanted.where(result.c.id.in_(corrected))).mappings()
        return [dict(row) for row in rows if self._passed(row)]

    def _passed(self, row: Any) -> bool:  # noqa: ANN401 - a result's row
        verdicts = counting_now(self.connection, row)
        return outcome.passed(
            outcome.steps_of(row["steps"]), verdicts, outcome.rule_of(row["rule"])
        )

    def _before(self, pair: _Pair, blocks: list[tuple[str, str]]) -> Row | None:
        """The latest pass of the pair that no failure blocks."""
        person, element = pair
        result = tables.result
        mine = result.c.person.in_(self.links.ids(person)) & (result.c.element == element)
        wanted = self._within(select(*_columns(result)), result).where(
            mine, _counts(result), ~_second_look(result)
        )
        rows = [dict(row) for row in self.connection.execute(wanted).mappings()]
        rows += [
            dict(row)
            for row in self._corrected()
            if (self.links.one(row["person"]), row["element"]) == pair
        ]
        return max((r for r in rows if not _blocked(r, blocks)), key=_order, default=None)

    def _blocks(self) -> _Blocks:
        opened, closed = tables.retraining, tables.retraining_closed
        wanted = (
            select(
                opened.c.id,
                opened.c.person,
                opened.c.element,
                opened.c.failed_at,
                closed.c.at,
                closed.c.void,
            )
            .outerjoin(closed, closed.c.retraining == opened.c.id)
            .order_by(closed.c.at)
        )
        spans: dict[str, tuple[_Pair, str, str]] = {}
        void: set[str] = set()
        for entry, person, element, failed_at, at, is_void in self.connection.execute(wanted):
            pair = (self.links.one(person), element)
            spans.setdefault(entry, (pair, failed_at, at or _NEVER))
            if is_void:
                void.add(entry)
        blocks: _Blocks = defaultdict(list)
        for entry, (pair, start, end) in spans.items():
            if entry not in void:
                blocks[pair].append((start, end))
        return blocks

    def _chosen(self, wanted: Select[Any], table: Any) -> Select[Any]:  # noqa: ANN401
        wanted = wanted.where(table.c.element != "")
        return wanted if self.people is None else wanted.where(table.c.person.in_(self.people))

    def _within(self, wanted: Select[Any], table: Any) -> Select[Any]:  # noqa: ANN401
        if self.until is None:
            return wanted
        return wanted.where(table.c.taken_on <= self.until.isoformat())

    def _pass(self, pair: _Pair, row: Row) -> Pass:
        person, element = pair
        return Pass(
            person,
            element,
            date.fromisoformat(row["taken_on"]),
            row["id"],
            row["procedure"],
            row["revision"],
            Method(row["method"]),
        )


def _columns(table: Any) -> list[Any]:  # noqa: ANN401 - a table or an alias of one
    names = ("id", "person", "element", "taken_at", "taken_on", "procedure", "revision", "method")
    return [table.c[name] for name in names]


def _counts(result: Any) -> ColumnElement[bool]:  # noqa: ANN401
    seal = tables.seal
    sealed = exists().where(seal.c.result == result.c.id, seal.c.passed == 1)
    return or_(
        and_(result.c.kind == Kind.CHECK, sealed),
        and_(result.c.kind == Kind.PAST, result.c.passed == 1),
    )


def _second_look(result: Any) -> ColumnElement[bool]:  # noqa: ANN401
    over = tables.overrule
    corrected = or_(over.c.after_seal == 1, result.c.kind == Kind.PAST)
    return exists().where(over.c.result == result.c.id, corrected)


def _order(row: Row) -> tuple[str, str]:
    return row["taken_at"], row["id"]


def _blocked(row: Row, blocks: Any) -> bool:  # noqa: ANN401 - pairs of times
    return any(start < row["taken_at"] < end for start, end in blocks)
