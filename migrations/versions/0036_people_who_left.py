"""People who left: they may no longer sign in, and their pieces and history stay under their name."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0036"
down_revision = "0035"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nobody has left yet."""
    op.add_column("people", sa.Column("left_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    """Let everybody in again."""
    op.execute("ALTER TABLE people DROP COLUMN left_at")
