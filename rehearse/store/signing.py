"""Signing seals results with the signer's key; a correction after that is signed itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import Connection, select

from rehearse.judge.verdict import Verdict
from rehearse.store import outcome, pins, reading, retraining, roster, tables
from rehearse.store.canonical import to_text, when
from rehearse.store.chain import Row, Writing
from rehearse.store.desk import Desk, result_row
from rehearse.store.mishaps import NotAcceptedError, SealedError
from rehearse.store.naming import must_not_name
from rehearse.store.people import try_pin
from rehearse.store.permissions import Operation
from rehearse.store.results import add_overrule, counting_now, is_sealed, seal_of
from rehearse.store.roster import Links
from rehearse.store.values import Actor, Kind, Overrule, Signature

_PURPOSE = "rehearse: training aid, certifies nobody"


@dataclass(frozen=True)
class Signing:
    """`Store.signing`: an instructor's or examiner's signature on checks."""

    _desk: Desk

    def warnings(self, actor: Actor, results: Sequence[str]) -> tuple[str, ...]:
        """What the signer should know before signing; it is kept in the signature."""
        with self._desk.reading(actor) as connection:
            links = Links.read(connection)
            rows = [result_row(connection, result) for result in results]
            for row in rows:
                self._desk.check(connection, actor, Operation.READ_RESULTS, row["person"])
            return _warnings(rows, links, actor)

    def sign(self, actor: Actor, results: Sequence[str], pin: str) -> Signature:
        """Seal these checks with one signature; a failed one makes a retraining entry.

        Raises:
            PinError: the PIN is wrong, or must wait.
            SealedError: one is signed already.
            NotAcceptedError: one is no check, or a step of it is still unclear.
        """
        if not results or len(set(results)) < len(results):
            raise NotAcceptedError("name each result to be signed once")
        with self._desk.reading(actor) as connection:
            for result in results:
                self._ready(connection, actor, result_row(connection, result))
        credential, opened = try_pin(self._desk, actor.person, pin)
        private = pins.private_key(opened, pin)
        with self._desk.writing(actor) as writing:
            links = Links.read(writing.connection)
            rows = [result_row(writing.connection, result) for result in results]
            counts = [self._ready(writing.connection, actor, row) for row in rows]
            writing.add(tables.sign_in, person=credential["person"], opened=1)
            statement = {
                "results": [[row["id"], row["hash"].hex()] for row in rows],
                "overrules": [pair for row in rows for pair in _overrules(writing, row["id"])],
                "verdicts": {row["id"]: count for row, count in zip(rows, counts, strict=True)},
                "warnings": _warnings(rows, links, actor),
            }
            made = add_signature(writing, statement, credential["id"], private)
            for row, count in zip(rows, counts, strict=True):
                passed = outcome.row_passed(row, count)
                seal = seal_of(row, self._desk.zone, made["id"], passed=passed)
                writing.add_many(tables.seal, [seal])
                if not passed:
                    retraining.open_entry(writing, row)
            return reading.signature_of({**credential, **made}, links)

    def _ready(self, connection: Connection, actor: Actor, row: Row) -> dict[str, Verdict]:
        self._desk.check(connection, actor, Operation.SIGN, row["person"])
        reading.must_be_open(connection, Links.read(connection).ids(actor.person), row["id"])
        if row["kind"] != Kind.CHECK:
            raise NotAcceptedError(f"{row['id']}: is {row['kind']}; only a check is signed")
        if is_sealed(connection, row["id"]):
            raise SealedError(f"{row['id']}: signed already")
        counts = counting_now(connection, row)
        unclear = [step for step, verdict in counts.items() if verdict is Verdict.UNCLEAR]
        if unclear:
            raise NotAcceptedError(
                f"{row['id']}: unclear: {', '.join(unclear)}; overrule before you sign"
            )
        return counts

    def correct(
        self, actor: Actor, result_id: str, step: str, verdict: Verdict, reason: str, *, pin: str
    ) -> Overrule:
        """Add a signed correction to a sealed record. The seal stays, and both are shown.

        Raises:
            PinError: the PIN is wrong, or must wait.
            NotAcceptedError: it is not sealed yet, or as in `Results.overrule`.
        """
        with self._desk.reading(actor) as connection:
            person = result_row(connection, result_id)["person"]
            self._desk.check(connection, actor, Operation.SIGN, person)
            reading.must_be_open(connection, Links.read(connection).ids(actor.person), result_id)
        credential, opened = try_pin(self._desk, actor.person, pin)
        private = pins.private_key(opened, pin)
        with self._desk.writing(actor) as writing:
            links = Links.read(writing.connection)
            row = result_row(writing.connection, result_id)
            self._desk.check(writing.connection, actor, Operation.SIGN, row["person"])
            if not is_sealed(writing.connection, result_id):
                raise NotAcceptedError(f"{result_id}: not signed yet; overrule it instead")
            person = roster.person_of(writing.connection, links, row["person"], self._desk.vault)
            must_not_name(reason, person, "reason")
            writing.add(tables.sign_in, person=credential["person"], opened=1)
            before = outcome.row_passed(row, counting_now(writing.connection, row))
            made = add_overrule(writing, row, step, verdict, reason, after_seal=True)
            statement = {
                "results": [],
                "overrules": [[made["id"], made["hash"].hex()]],
                "verdicts": {result_id: {step: verdict}},
                "warnings": [],
            }
            add_signature(writing, statement, credential["id"], private)
            after = outcome.row_passed(row, counting_now(writing.connection, row))
            if before and not after:
                retraining.open_entry(writing, row)
            elif after and not before:
                retraining.void_entries(writing, row["id"], reason)
            return reading.overrule_of(made, links)


def add_signature(
    writing: Writing, statement: Mapping[str, Any], credential: str, private: Ed25519PrivateKey
) -> Row:
    """Add a signature over the statement and over the whole chain before it."""
    whole = to_text(
        {
            **statement,
            "purpose": _PURPOSE,
            "head": str(writing.head),
            "at": when(writing.now),
            "by": writing.actor,
        }
    )
    value = private.sign(whole.encode())
    return writing.add(tables.signature, credential=credential, statement=whole, value=value)


def _overrules(writing: Writing, result: str) -> list[list[str]]:
    table = tables.overrule
    wanted = select(table.c.id, table.c.hash).where(table.c.result == result)
    return [[row, digest.hex()] for row, digest in writing.connection.execute(wanted)]


def _warnings(rows: Sequence[Row], links: Links, actor: Actor) -> tuple[str, ...]:
    found: list[str] = []
    for row in rows:
        examiner, teacher = (links.one(row[name] or "") for name in ("examiner", "teacher"))
        if teacher and examiner == teacher:
            found.append(f"{row['id']}: examiner and teacher are the same person")
        if examiner != links.one(actor.person):
            found.append(f"{row['id']}: you are not its examiner")
        if teacher and teacher != examiner and teacher == links.one(actor.person):
            found.append(f"{row['id']}: you sign as the teacher")
    return tuple(found)
