"""Somebody can be asked for a second marking. Empty in older rows and in marks themselves."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; a row without it keeps its hash."""
    op.add_column("second_mark", sa.Column("asked", sa.String, nullable=True))
