"""Sets: pieces such as a pot, its lid and its loose parts that fire together, tied by the name of their set."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; no piece belonged to a set before."""
    op.add_column("pieces", sa.Column("set_name", sa.Text(), nullable=True))


def downgrade() -> None:
    """Take it away again, by one statement: a batch would rebuild the table and drop the guard's triggers with it."""
    op.execute("ALTER TABLE pieces DROP COLUMN set_name")
