"""What Alembic runs: the migrations, on the connection that was handed over."""

from __future__ import annotations

from alembic import context

from rehearse.store.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
