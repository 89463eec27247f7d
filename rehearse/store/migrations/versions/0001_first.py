"""The first schema: chained tables, personal content beside them, and what guards both."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table, and the triggers that refuse to change or delete what was written."""
    _side_tables()
    _people()
    _results()
    _signing()
    _upkeep()
    for statement in _postgresql() if op.get_bind().dialect.name == "postgresql" else _sqlite():
        op.execute(statement)


def _chained(name: str, *columns: sa.Column[object], index: tuple[str, ...] = ()) -> None:
    targets = {
        column.name: next(iter(column.foreign_keys)).target_fullname
        for column in columns
        if column.foreign_keys
    }
    op.create_table(
        name,
        sa.Column("id", sa.String, nullable=False),
        sa.Column("station", sa.String, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("tick", sa.Integer, nullable=False),
        sa.Column("at", sa.String, nullable=False),
        sa.Column("actor", sa.String, nullable=False),
        *(sa.Column(column.name, column.type, nullable=column.nullable) for column in columns),
        sa.Column("previous", sa.LargeBinary, nullable=False),
        sa.Column("hash", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.UniqueConstraint("station", "number", name=f"uq_{name}_station_number"),
        *(
            sa.ForeignKeyConstraint([column], [target], name=f"fk_{name}_{column}")
            for column, target in targets.items()
        ),
    )
    for column in index:
        op.create_index(f"ix_{name}_{column}", name, [column])


def _text(name: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.String, nullable=nullable)


def _to(name: str, table: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.String, sa.ForeignKey(f"{table}.id"), nullable=nullable)


def _bytes(name: str) -> sa.Column[object]:
    return sa.Column(name, sa.LargeBinary, nullable=False)


def _truth(name: str) -> sa.Column[object]:
    return sa.Column(name, sa.Integer, nullable=False)


def _side_tables() -> None:
    op.create_table(
        "content",
        _text("id"),
        _text("kind"),
        _bytes("salt"),
        _text("key"),
        _bytes("body"),
        sa.PrimaryKeyConstraint("id", name="pk_content"),
    )
    op.create_table(
        "head",
        _text("station"),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("tick", sa.Integer, nullable=False),
        _text("at"),
        _bytes("hash"),
        sa.PrimaryKeyConstraint("station", name="pk_head"),
    )
    op.create_table(
        "local", _text("name"), _text("value"), sa.PrimaryKeyConstraint("name", name="pk_local")
    )


def _people() -> None:
    _chained(
        "person",
        _to("person", "person"),
        _bytes("digest"),
        _text("roles"),
        _text("positions"),
        _text("aircraft"),
        _text("left_on", nullable=True),
        index=("person",),
    )
    _chained(
        "credential",
        _to("person", "person"),
        _bytes("digest"),
        _bytes("public_key"),
        index=("person",),
    )
    _chained("sign_in", _to("person", "person", nullable=True), _truth("opened"), index=("person",))
    _chained("consent", _to("person", "person"), _text("kind"), _truth("given"), index=("person",))
    _chained("link", _to("person", "person"), _to("same_as", "person"), index=("person", "same_as"))
    _chained(
        "access",
        _to("person", "person", nullable=True),
        _text("what"),
        _text("record"),
        _text("purpose"),
        index=("person",),
    )


def _results() -> None:
    _chained(
        "result",
        _to("person", "person"),
        _text("kind"),
        _text("element"),
        _text("procedure"),
        sa.Column("revision", sa.Integer, nullable=False),
        _text("method"),
        _text("taken_at"),
        _text("taken_on"),
        _to("examiner", "person", nullable=True),
        _to("teacher", "person", nullable=True),
        _text("take", nullable=True),
        _text("judge"),
        _text("steps"),
        _text("extras"),
        _text("rule"),
        _truth("passed"),
        index=("taken_at",),
    )
    op.create_index("ix_result_person_taken_at", "result", ["person", "taken_at"])
    _chained(
        "overrule",
        _to("result", "result"),
        _text("step"),
        _text("was"),
        _text("verdict"),
        _text("reason"),
        _truth("after_seal"),
        index=("result",),
    )
    _chained(
        "remark",
        _to("result", "result"),
        _bytes("digest"),
        _text("second", nullable=True),
        index=("result",),
    )
    _chained(
        "second_mark", _to("result", "result"), _text("verdicts", nullable=True), index=("result",)
    )
    _chained("sound", _to("result", "result"), _bytes("digest"), index=("result",))


def _signing() -> None:
    _chained(
        "signature",
        _to("credential", "credential"),
        _text("statement"),
        _bytes("value"),
        index=("credential",),
    )
    _chained(
        "seal",
        _to("result", "result"),
        _to("signature", "signature", nullable=True),
        _text("person"),
        _text("element"),
        _text("procedure"),
        sa.Column("facts", sa.BigInteger, nullable=False),
        index=("result", "signature"),
    )
    op.create_index("ix_seal_facts", "seal", ["person", "element", "procedure", "facts"])
    _chained(
        "retraining",
        _to("person", "person"),
        _text("element"),
        _to("result", "result"),
        _text("failed_at"),
        index=("person", "result"),
    )
    _chained(
        "retraining_closed",
        _to("retraining", "retraining"),
        _text("how"),
        _truth("void"),
        index=("retraining",),
    )


def _upkeep() -> None:
    _chained(
        "erasure",
        _text("content"),
        _text("kind"),
        _to("person", "person"),
        _text("reason"),
        index=("content", "person"),
    )
    _chained("setting", _text("name"), _text("value"), index=("name",))
    _chained("incident", _text("kind"), _text("text"))


_CHAINED = (
    "person credential sign_in consent link access result overrule remark second_mark sound "
    "signature seal retraining retraining_closed erasure setting incident"
).split()


_REFUSAL = "records are only ever added to"
_ERASED = "EXISTS (SELECT 1 FROM erasure WHERE content = {row}.id)"


def _sqlite() -> list[str]:
    def guard(name: str, event: str, when: str = "") -> str:
        then = f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
        return f"CREATE TRIGGER {name} BEFORE {event} {when and f'WHEN {when}'} {then}"

    grows = "NEW.station <> OLD.station OR NEW.number <= OLD.number"
    return [
        *(guard(f"{table}_no_update", f"UPDATE ON {table}") for table in _CHAINED),
        *(guard(f"{table}_no_delete", f"DELETE ON {table}") for table in _CHAINED),
        guard("content_no_update", "UPDATE ON content"),
        guard("content_erased", "DELETE ON content", f"NOT {_ERASED.format(row='OLD')}"),
        guard("content_stays_erased", "INSERT ON content", _ERASED.format(row="NEW")),
        guard("head_grows", "UPDATE ON head", grows),
        guard("head_stays", "DELETE ON head"),
    ]


def _postgresql() -> list[str]:
    def function(name: str, unless: str = "") -> str:
        body = f"BEGIN {unless} RAISE EXCEPTION '{_REFUSAL}'; END"
        return f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ {body} $$"

    def guard(name: str, event: str, each: str, what: str) -> str:
        return f"CREATE TRIGGER {name} BEFORE {event} FOR EACH {each} EXECUTE FUNCTION {what}()"

    erased, back = _ERASED.format(row="OLD"), _ERASED.format(row="NEW")
    grows = "NEW.station = OLD.station AND NEW.number > OLD.number"
    change = "UPDATE OR DELETE ON"
    return [
        function("only_added_to"),
        function(
            "only_audited",
            f"IF TG_OP = 'DELETE' THEN IF {erased} THEN RETURN OLD; END IF; END IF; "
            f"IF TG_OP = 'INSERT' THEN IF NOT {back} THEN RETURN NEW; END IF; END IF;",
        ),
        function(
            "only_grows", f"IF TG_OP = 'UPDATE' THEN IF {grows} THEN RETURN NEW; END IF; END IF;"
        ),
        guard("content_guard", f"INSERT OR {change} content", "ROW", "only_audited"),
        guard("head_guard", f"{change} head", "ROW", "only_grows"),
        *(guard(f"{t}_guard", f"{change} {t}", "ROW", "only_added_to") for t in _CHAINED),
        *(
            guard(f"{t}_whole", f"TRUNCATE ON {t}", "STATEMENT", "only_added_to")
            for t in (*_CHAINED, "content", "head")
        ),
    ]
