"""Stored rows turned into records: a result with all that was added to it, and what counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Select, Table, func, select

from rehearse.judge.verdict import Verdict
from rehearse.store import outcome, tables
from rehearse.store.canonical import from_text, time_of
from rehearse.store.chain import Row, recorded
from rehearse.store.mishaps import NotAllowedError
from rehearse.store.roster import Links
from rehearse.store.values import (
    Head,
    Kind,
    Method,
    Overrule,
    Record,
    Remark,
    Result,
    Signature,
)
from rehearse.store.vault import Vault

_AT_ONCE = 500


def records(
    connection: Connection, wanted: Select[Any], vault: Vault, hidden: frozenset[str] = frozenset()
) -> Iterator[Record]:
    """The records of the result rows that `wanted` selects, in its order and bounded memory.

    hidden: ids of results that are passed over.
    """
    links = Links.read(connection)
    streamed = connection.execute(wanted, execution_options={"yield_per": _AT_ONCE})
    rows = (dict(row) for row in streamed.mappings() if row["id"] not in hidden)
    while some := list(islice(rows, _AT_ONCE)):
        added = _Added.read(connection, [row["id"] for row in some], vault)
        for row in some:
            yield added.record(row, links)


def result_of(row: Row, links: Links) -> Result:
    """The result of a stored row."""
    return Result(
        id=row["id"],
        recorded_at=recorded(row),
        recorded_by=links.one(row["actor"]),
        person=links.one(row["person"]),
        kind=Kind(row["kind"]),
        element=row["element"],
        procedure=row["procedure"],
        revision=row["revision"],
        method=Method(row["method"]),
        taken_at=time_of(row["taken_at"]),
        taken_on=date.fromisoformat(row["taken_on"]),
        steps=outcome.steps_of(row["steps"]),
        rule=outcome.rule_of(row["rule"]),
        examiner=links.one(row["examiner"]) if row["examiner"] else "",
        teacher=links.one(row["teacher"]) if row["teacher"] else "",
        extras=tuple(from_text(row["extras"])),
        take=outcome.take_of(row["take"]),
        judge=row["judge"],
        passed=bool(row["passed"]),
        procedure_sha256=row["procedure_sha256"] or "",
    )


def overrule_of(row: Row, links: Links) -> Overrule:
    """The overrule of a stored row."""
    return Overrule(
        row["id"],
        recorded(row),
        links.one(row["actor"]),
        row["result"],
        row["step"],
        Verdict(row["was"]),
        Verdict(row["verdict"]),
        row["reason"],
        bool(row["after_seal"]),
    )


def signature_of(row: Row, links: Links) -> Signature:
    """The signature of a stored row that was joined with its credential's public key."""
    statement = statement_of(row)
    return Signature(
        id=row["id"],
        at=recorded(row),
        by=links.one(row["actor"]),
        results=tuple(result for result, _ in statement["results"]),
        head=Head.parse(statement["head"]),
        warnings=tuple(statement["warnings"]),
        public_key=row["public_key"].hex(),
        value=row["value"].hex(),
    )


def statement_of(row: Mapping[str, Any]) -> dict[str, Any]:
    """What a signature's row says."""
    statement: dict[str, Any] = from_text(row["statement"])
    return statement


def counting(
    overrules: Sequence[Row], statements: Sequence[Mapping[str, Any]]
) -> tuple[list[Row], list[Row]]:
    """Those overrules of one result that count, and those that a seal does not cover.

    overrules: oldest first. statements: what each seal of the result says; none when unsealed.
    """
    if not statements:
        return list(overrules), []
    covered = {row for statement in statements for row, _ in statement["overrules"]}
    count = [row for row in overrules if row["after_seal"] or row["id"] in covered]
    ids = {row["id"] for row in count}
    return count, [row for row in overrules if row["id"] not in ids]


@dataclass(frozen=True)
class _Added:
    """What was added to some results: rows by the result's id, oldest first."""

    overrules: Mapping[str, list[Row]]
    remarks: Mapping[str, list[Row]]
    seals: Mapping[str, list[Row]]
    sounds: Mapping[str, list[Row]]
    vault: Vault

    @classmethod
    def read(cls, connection: Connection, results: list[str], vault: Vault) -> _Added:
        def rows(wanted: Select[Any], table: Table) -> dict[str, list[Row]]:
            chosen = wanted.where(table.c.result.in_(results))
            ordered = chosen.order_by(table.c.tick, table.c.station)
            found: dict[str, list[Row]] = defaultdict(list)
            for row in connection.execute(ordered).mappings():
                found[row["result"]].append(dict(row))
            return found

        content, remark, sound = tables.content, tables.remark, tables.sound
        return cls(
            rows(select(tables.overrule), tables.overrule),
            rows(
                select(remark, content.c.key, content.c.body).outerjoin(
                    content, content.c.id == remark.c.id
                ),
                remark,
            ),
            rows(sealed(tables.seal.c.result), tables.seal),
            rows(select(sound).join(content, content.c.id == sound.c.id), sound),
            vault,
        )

    def record(self, row: Row, links: Links) -> Record:
        result = result_of(row, links)
        seals = self.seals.get(result.id, [])
        overrules = self.overrules.get(result.id, [])
        count, uncovered = counting(overrules, [statement_of(seal) for seal in seals])
        verdicts = outcome.overruled(outcome.verdicts_of(result.steps), count)
        return Record(
            result=result,
            verdicts=MappingProxyType(verdicts),
            passed=outcome.passed(result.steps, verdicts, result.rule),
            overrules=tuple(overrule_of(row, links) for row in overrules),
            uncovered=tuple(str(row["id"]) for row in uncovered),
            remarks=tuple(self._remark(row, links) for row in self.remarks.get(result.id, ())),
            signature=signature_of(seals[0], links) if seals else None,
            sound_kept=result.id in self.sounds,
        )

    def _remark(self, row: Row, links: Links) -> Remark:
        body = row["body"]
        text = "" if body is None else self.vault.open(row["id"], row["key"], body).decode()
        second = None if row["second"] is None else float(row["second"])
        return Remark(
            row["id"], recorded(row), links.one(row["actor"]), row["result"], text, second
        )


def sealed(*more: Any) -> Select[Any]:  # noqa: ANN401 - columns
    """Signature rows with their public key, joined to the seals that they set."""
    signature, credential, seal = tables.signature, tables.credential, tables.seal
    return (
        select(signature, credential.c.public_key, *more)
        .join(credential, credential.c.id == signature.c.credential)
        .join(seal, seal.c.signature == signature.c.id)
    )


def hidden_from(connection: Connection, people: Iterable[str]) -> frozenset[str]:
    """Results that this person took on or is asked to mark blind, and has not marked yet."""
    mark, ids = tables.second_mark, list(people)
    marker = func.coalesce(mark.c.asked, mark.c.actor)
    wanted = select(mark.c.result).where(mark.c.verdicts.is_(None), marker.in_(ids))
    begun = set(connection.scalars(wanted))
    if not begun:
        return frozenset()
    marked = select(mark.c.result).where(mark.c.verdicts.is_not(None), mark.c.actor.in_(ids))
    return frozenset(begun - set(connection.scalars(marked)))


def must_be_open(connection: Connection, people: Iterable[str], result: str) -> None:
    """Refuse a result that this person is to mark blind first.

    Raises:
        NotAllowedError: the marks are not handed in yet.
    """
    if result in hidden_from(connection, people):
        raise NotAllowedError(f"{result}: hand in your own marks of this take first")
