"""The tables. A chained table's row is written once, and its columns are what its hash covers.

Every column is text, whole number or bytes: the same in SQLite and PostgreSQL, so that one row
has one hash wherever it lies. Truth is 0 or 1. Lists are canonical JSON in text. Times are UTC text
of one fixed width, which sorts as the times do.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

ENVELOPE = ("id", "station", "number", "tick", "at", "actor", "previous", "hash")
"""What every chained row carries: see `rehearse.store.chain`."""


def _chained(name: str, *columns: Column[object] | Index) -> Table:
    return Table(
        name,
        metadata,
        Column("id", String, primary_key=True),
        Column("station", String, nullable=False),
        Column("number", Integer, nullable=False),
        Column("tick", Integer, nullable=False),
        Column("at", String, nullable=False),
        Column("actor", String, nullable=False),
        *columns,
        Column("previous", LargeBinary, nullable=False),
        Column("hash", LargeBinary, nullable=False),
        UniqueConstraint("station", "number"),
    )


def _text(name: str, *, index: bool = False) -> Column[object]:
    return Column(name, String, nullable=False, index=index)


def _to(name: str, table: str, *, nullable: bool = False) -> Column[object]:
    return Column(name, String, ForeignKey(f"{table}.id"), nullable=nullable, index=True)


def _truth(name: str) -> Column[object]:
    return Column(name, Integer, nullable=False)  # 0 or 1


def _digest() -> Column[object]:
    return Column("digest", LargeBinary, nullable=False)


person = _chained(
    "person", _to("person", "person"), _digest(), _text("roles"), _text("positions"),
    _text("aircraft"), Column("left_on", String),
)  # fmt: skip
credential = _chained(
    "credential", _to("person", "person"), _digest(),
    Column("public_key", LargeBinary, nullable=False),
)  # fmt: skip
sign_in = _chained("sign_in", _to("person", "person", nullable=True), _truth("opened"))
consent = _chained("consent", _to("person", "person"), _text("kind"), _truth("given"))
result = _chained(
    "result",
    Column("person", String, ForeignKey("person.id"), nullable=False),
    _text("kind"), _text("element"), _text("procedure"),
    Column("revision", Integer, nullable=False),
    _text("method"), _text("taken_at", index=True), _text("taken_on"),
    Column("examiner", String, ForeignKey("person.id")),
    Column("teacher", String, ForeignKey("person.id")),
    Column("take", String), _text("judge"), _text("steps"), _text("extras"), _text("rule"),
    _truth("passed"),
    Column("procedure_sha256", String),
    Index("ix_result_person_taken_at", "person", "taken_at"),
)  # fmt: skip
overrule = _chained(
    "overrule", _to("result", "result"), _text("step"), _text("was"), _text("verdict"),
    _text("reason"), _truth("after_seal"),
)  # fmt: skip
remark = _chained("remark", _to("result", "result"), _digest(), Column("second", String))
# Without verdicts: somebody took the second marking on, or `asked`, a person, is asked for it.
second_mark = _chained(
    "second_mark", _to("result", "result"), Column("verdicts", String), Column("asked", String)
)
signature = _chained(
    "signature", _to("credential", "credential"), _text("statement"),
    Column("value", LargeBinary, nullable=False),
)  # fmt: skip
seal = _chained(
    "seal", _to("result", "result"), _to("signature", "signature", nullable=True), _text("person"),
    _text("element"), _text("procedure"), Column("facts", BigInteger, nullable=False),
    Index("ix_seal_facts", "person", "element", "procedure", "facts"),
)  # fmt: skip
retraining = _chained(
    "retraining", _to("person", "person"), _text("element"), _to("result", "result"),
    _text("failed_at"),
)  # fmt: skip
retraining_closed = _chained(
    "retraining_closed", _to("retraining", "retraining"), _text("how"), _truth("void")
)
sound = _chained("sound", _to("result", "result"), _digest())
access = _chained(
    "access",
    _to("person", "person", nullable=True),
    _text("what"),
    _text("record"),
    _text("purpose"),
)
erasure = _chained(
    "erasure", _text("content", index=True), _text("kind"), _to("person", "person"),
    _text("reason"),
)  # fmt: skip
link = _chained("link", _to("person", "person"), _to("same_as", "person"))
setting = _chained("setting", _text("name", index=True), _text("value"))
incident = _chained("incident", _text("kind"), _text("text"))

CHAINED: tuple[Table, ...] = (
    person, credential, sign_in, consent, result, overrule, remark, second_mark, signature, seal,
    retraining, retraining_closed, sound, access, erasure, link, setting, incident,
)  # fmt: skip
WITH_CONTENT = (person, credential, remark, sound)

# Beside the chain: personal content, which the row with the same id holds a salted digest of.
# The database lets it go only when an erasure row names it, and never lets it come back.
content = Table(
    "content",
    metadata,
    Column("id", String, primary_key=True),
    Column("kind", String, nullable=False),
    Column("salt", LargeBinary, nullable=False),
    Column("key", String, nullable=False),
    Column("body", LargeBinary, nullable=False),
)

# The end of every station's chain, as this store knows it; it only ever grows.
head = Table(
    "head",
    metadata,
    Column("station", String, primary_key=True),
    Column("number", Integer, nullable=False),
    Column("tick", Integer, nullable=False),
    Column("at", String, nullable=False),
    Column("hash", LargeBinary, nullable=False),
)

# What is this store's own, and goes into no other: its station's name, and the like.
local = Table(
    "local",
    metadata,
    Column("name", String, primary_key=True),
    Column("value", String, nullable=False),
)
