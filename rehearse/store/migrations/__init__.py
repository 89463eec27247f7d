"""The store's schema, step by step: Alembic runs what a database lacks when it is opened."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from rehearse.errors import StoreError


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    return config


def migrate(connection: Connection) -> None:
    """Bring the schema up to date inside the connection's transaction."""
    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def is_current(connection: Connection, name: str) -> bool:
    """Whether the schema is the one that this version knows.

    Raises:
        StoreError: a newer version made it, or there is none at all.
    """
    current = MigrationContext.configure(connection).get_current_revision()
    if current is None:
        raise StoreError(f"{name}: this is no record store; create one or name another")
    script = ScriptDirectory.from_config(_config())
    if current not in {revision.revision for revision in script.walk_revisions()}:
        raise StoreError(f"{name}: schema {current} is newer than this version; update rehearse")
    return current == script.get_current_head()
