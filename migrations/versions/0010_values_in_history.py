"""History lines keep values and questions keep messages; what was written as text before stays as it is."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a place for the values of a line, and one for a question that nobody typed."""
    op.add_column("history", sa.Column("facts", sa.Text(), nullable=True))
    op.add_column("questions", sa.Column("message", sa.Text(), nullable=True))


def downgrade() -> None:
    """Take both away again, each by one statement: a batch would rebuild the table and drop its triggers with it."""
    op.execute("ALTER TABLE questions DROP COLUMN message")
    op.execute("ALTER TABLE history DROP COLUMN facts")
