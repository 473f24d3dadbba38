"""Photos that their makers let everybody see among the examples."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Share none: nobody was asked yet."""
    op.add_column("photos", sa.Column("shared", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    """Forget which were shared."""
    op.execute("ALTER TABLE photos DROP COLUMN shared")
