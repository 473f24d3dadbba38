"""Whether a piece is an open form that nests in a bisque."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Note for each piece whether it nests; none is known to."""
    op.add_column("pieces", sa.Column("nests", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    """Forget it by one statement: a batch would rebuild the table and drop its triggers with it."""
    op.execute("ALTER TABLE pieces DROP COLUMN nests")
