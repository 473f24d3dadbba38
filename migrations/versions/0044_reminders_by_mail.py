"""Reminders by mail: when a maker was told that a piece is at its stage for too long."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0044"
down_revision = "0043"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nobody was told yet."""
    op.add_column("pieces", sa.Column("reminded_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    """Forget who was."""
    op.execute("ALTER TABLE pieces DROP COLUMN reminded_at")
