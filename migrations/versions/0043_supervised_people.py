"""Minors and visitors: people for whom the instructor approves leach hazards and raku."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0043"
down_revision = "0042"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Mark nobody yet."""
    op.add_column("people", sa.Column("supervised", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    """Forget who was."""
    op.execute("ALTER TABLE people DROP COLUMN supervised")
