"""The chain finds every change; the database refuses all that it can refuse."""

from __future__ import annotations

import json
from datetime import timedelta
from random import Random
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, Table, delete, inspect, text
from sqlalchemy.exc import DBAPIError

from rehearse.judge.verdict import Verdict
from rehearse.store import Head, Text, tables
from rehearse.store.chain import HASHES
from rehearse.store.database import Database
from rehearse.store.verify import verify
from tests.store.station import PIN, Station

TAMPERS = 1000

texts = st.text(st.characters(exclude_categories=["Cs"]))


@pytest.fixture
def busy(station: Station) -> Station:
    """A store in which everything has happened that leaves a row."""
    store = station.store
    trainee, instructor = station.people["T1"].id, station.actor("I1")
    first, second = station.check("I1", "T1", "sw"), station.check("I1", "T1", "ss")
    store.privacy.consent(instructor, trainee, Text.SOUND, given=True)
    store.sounds.keep(instructor, first, b"fLaC, as far as a store can tell")
    store.results.remark(instructor, first, "said with a pause", 2.5)
    store.marks.begin(station.actor("I2"), first)
    store.marks.hand_in(
        station.actor("I2"), first, {"step-1": Verdict.SAID, "step-2": Verdict.WRONG}
    )
    store.results.overrule(instructor, second, "step-1", Verdict.WRONG, "not heard")
    store.signing.sign(instructor, [first, second], PIN)
    store.signing.correct(instructor, second, "step-1", Verdict.SAID, "heard now", pin=PIN)
    entry = store.retraining.entries(instructor)[0]
    store.retraining.close(instructor, entry.id, "drum again, with I1")
    store.sounds.read(station.actor("E1"), first, "an appeal")
    other = station.people["T2"]
    store.results.remark(instructor, station.check("I1", "T2"), "will be erased")
    store.privacy.erase(station.actor("A1"), other.id, "asked for")
    store.privacy.retention(station.actor("A1"), Text.REMARK, 30)
    station.clock.now -= timedelta(hours=1)
    with store._desk.writing(None) as writing:
        examiner = station.people["E1"].id
        writing.add(tables.link, person=examiner, same_as=examiner)
    assert store.verify([store.head()]).fault is None
    return station


@given(st.lists(texts, min_size=3, max_size=3), st.integers(0, 2**53), st.binary(max_size=40))
def test_what_is_hashed_is_canonical_json(words: list[str], number: int, digest: bytes) -> None:
    """Another program could not check the hashes, or two different rows would have the same."""
    hashes = HASHES["person"]
    row = {
        **dict.fromkeys(hashes.columns, "x"),
        "number": number,
        "tick": 2,
        "digest": digest,
        "left_on": None,
        **dict(zip(("id", "roles", "actor"), words, strict=True)),
    }
    plain = {k: v for k, v in row.items() if v is not None and k not in {"previous", "hash"}}
    plain |= {"digest": digest.hex(), "_": "person"}
    text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert hashes.json([row[name] for name in hashes.columns]) == text


def test_migrations_make_the_tables_that_the_code_uses(station: Station) -> None:
    """A migrated database would lack a column, an index or a key that the code relies on."""
    with station.store._desk.database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.metadata) == []
        keys = {
            table: inspect(connection).get_foreign_keys(table) for table in ("overrule", "seal")
        }
        assert {key["referred_table"] for keys in keys.values() for key in keys} == {
            "result", "signature",
        }  # fmt: skip


def test_the_database_refuses_changes(busy: Station) -> None:
    """A stray statement could change a record; only reading would show it, much later."""
    database = busy.store._desk.database
    statements = [str(delete(table)) for table in (*tables.CHAINED, tables.content, tables.head)]
    statements += [f"UPDATE {table} SET actor = 'x'" for table in tables.CHAINED]  # noqa: S608
    statements += ["UPDATE content SET body = salt", "UPDATE head SET number = 1"]
    erased = "SELECT content, kind, hash, '', hash FROM erasure LIMIT 1"
    statements.append(f"INSERT INTO content (id, kind, salt, key, body) {erased}")
    for statement in statements:
        refused = pytest.raises(DBAPIError, match="only ever added to")
        with refused, database.engine.connect() as connection:
            if not connection.execute(text(_counting(statement))).scalar():
                pytest.fail(f"nothing to refuse: {statement}")
            connection.execute(text(statement))
    assert busy.store.verify().fault is None


def _counting(statement: str) -> str:
    words = statement.split()
    table = words[1] if words[0] == "UPDATE" else words[2]
    return f"SELECT count(*) FROM {table}"  # noqa: S608 - our own tables


class _Vandal:
    """Changes one thing at random, as somebody would who has the database in their hands."""

    def __init__(self, connection: Connection, random: Random) -> None:
        self.connection = connection
        self.random = random
        self.filled = [t for t in tables.CHAINED if self._all(t)]

    def _all(self, table: Table) -> list[Any]:
        return list(self.connection.execute(table.select().order_by(table.c.number)).mappings())

    def strike(self) -> tuple[str, int]:
        """Do it. Returns what was done, and the number of the first row it spoils."""
        ways = (self.change, self.change, self.delete, self.insert, self.swap, self.personal)
        return self.random.choice(ways)()

    def _one(self) -> tuple[Table, Any]:
        table = self.random.choice(self.filled)
        return table, self.random.choice(self._all(table))

    def _set(self, table: Table, row: str, **values: object) -> None:
        self.connection.execute(table.update().where(table.c.id == row).values(**values))

    def change(self) -> tuple[str, int]:
        table, row = self._one()
        column = self.random.choice([name for name in row if name != "station"])
        old = row[column]
        if isinstance(old, bytes):
            at = self.random.randrange(len(old))
            new: object = (
                old[:at] + bytes([old[at] ^ (1 << self.random.randrange(8))]) + old[at + 1 :]
            )
        elif isinstance(old, int):
            new = old + self.random.choice([-1, 1, 1000])
        else:
            new = (old or "") + self.random.choice([" ", "0", "é", "'"])
        if column == "number":
            new = 10_000 + row["number"]  # a number that is free, so that the database takes it
        self._set(table, row["id"], **{column: new})
        return f"{table}.{column} {old!r} to {new!r}", row["number"]

    def delete(self) -> tuple[str, int]:
        table, row = self._one()
        self.connection.execute(table.delete().where(table.c.id == row["id"]))
        return f"{table} {row['id']} deleted", row["number"]

    def insert(self) -> tuple[str, int]:
        table, row = self._one()
        numbers = {r["number"] for r in self._all(table)}
        number = next(n for n in range(row["number"], 10_000) if n not in numbers)
        copy = {**row, "id": f"{row['id']}x", "number": number}
        self.connection.execute(table.insert().values(**copy))
        return f"{table} {number} inserted", number

    def swap(self) -> tuple[str, int]:
        (one, a), (other, b) = self._one(), self._one()
        if a["number"] == b["number"]:
            return self.delete()
        first = min(a["number"], b["number"])
        self._set(one, a["id"], number=-1)
        self._set(other, b["id"], number=a["number"])
        self._set(one, a["id"], number=b["number"])
        return f"{one} {a['number']} and {other} {b['number']} moved", first

    def personal(self) -> tuple[str, int]:
        content = tables.content
        row = self.random.choice(list(self.connection.execute(content.select()).mappings()))
        number = int(row["id"].rpartition("-")[2])
        if self.random.random() < 0.3:
            self.connection.execute(content.delete().where(content.c.id == row["id"]))
            return f"content {row['id']} deleted", number
        column = self.random.choice(["body", "salt", "kind", "key"])
        value = row[column] + (b"x" if isinstance(row[column], bytes) else "x")
        self._set(content, row["id"], **{column: value})
        return f"content {row['id']} {column} changed", number


def test_every_tamper_is_found_and_named(busy: Station) -> None:
    """A record could be changed, deleted, inserted or moved, and the check would pass."""
    database, random = busy.store._desk.database, Random(8)
    with database.read() as connection:
        count = TAMPERS if database.is_sqlite else TAMPERS // 5
        _unguard(database, connection)
        vandal = _Vandal(connection, random)
        for _ in range(count):
            with connection.begin_nested() as attempt:
                done, number = vandal.strike()
                fault = verify(connection).fault
                assert fault is not None, done
                # With an erasure gone, what it erased is the first row that is not as it should be.
                named = fault.number == number or "without an erasure" in fault.why
                assert named, (done, fault)
                attempt.rollback()
        assert verify(connection).fault is None
        connection.rollback()


def _unguard(database: Database, connection: Connection) -> None:
    """Take away what keeps the database from being tampered with, for this transaction."""
    if not database.is_sqlite:
        connection.execute(text("SET LOCAL session_replication_role = replica"))
        return
    connection.execute(text("PRAGMA defer_foreign_keys = ON"))
    triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    for name in connection.scalars(text(triggers)).all():
        connection.execute(text(f"DROP TRIGGER {name}"))


def test_tail_cut_off_is_found_when_the_head_is_known(busy: Station) -> None:
    """The last records could be cut off, and the head in the store with them, unnoticed."""
    database, head = busy.store._desk.database, busy.store.head()
    with database.read() as connection:
        _unguard(database, connection)
        for cut in (1, 2, 7, 20):
            with connection.begin_nested() as attempt:
                last = head.number - cut
                kept: dict[str, Any] = {}
                for table in tables.CHAINED:
                    connection.execute(table.delete().where(table.c.number > last))
                    found = connection.execute(table.select().where(table.c.number == last))
                    kept.update(found.mappings().one_or_none() or {})
                new = {name: kept[name] for name in ("number", "tick", "at", "hash")}
                connection.execute(tables.head.update().values(**new))
                fault = verify(connection, [head]).fault
                assert fault is not None
                assert fault.number == last + 1 or "without an erasure" in fault.why
                attempt.rollback()
        connection.rollback()


def test_history_rewritten_with_fresh_hashes_breaks_the_signatures(busy: Station) -> None:
    """Whoever can compute hashes could rewrite what was signed, and every hash would fit."""
    database, head = busy.store._desk.database, busy.store.head()
    with database.read() as connection:
        _unguard(database, connection)
        rows = sorted(
            ((row, table) for table in tables.CHAINED for row in _rows(connection, table)),
            key=lambda found: found[0]["number"],
        )
        previous, changed = bytes(32), 0
        for row, table in rows:
            if table is tables.result and not changed:
                row["steps"] = row["steps"].replace("wrong", "said")
                changed = row["number"]
            row["previous"] = previous
            previous = row["hash"] = HASHES[table.name].of(row)
            here = table.c.id == row["id"]
            connection.execute(table.update().where(here).values(**row))
        connection.execute(tables.head.update().values(hash=previous))
        fault = verify(connection).fault
        assert fault is not None
        assert fault.table == "signature"
        fault = verify(connection, [Head(head.station, changed, "00" * 32)]).fault
        assert fault is not None
        connection.rollback()


def _rows(connection: Connection, table: Table) -> list[dict[str, Any]]:
    return [dict(row) for row in connection.execute(table.select()).mappings()]
