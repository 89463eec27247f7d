"""A result names exactly what was asked, by the checksum of its procedure. Empty in older rows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; a row without it keeps its hash."""
    op.add_column("result", sa.Column("procedure_sha256", sa.String, nullable=True))
