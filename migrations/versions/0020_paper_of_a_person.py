"""The paper that is in a person's own printer."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Give each person room for their paper; everyone begins with the studio's."""
    op.add_column("people", sa.Column("paper", sa.String(6), nullable=True))


def downgrade() -> None:
    """Forget the paper by one statement: a batch would rebuild the table and drop its triggers with it."""
    op.execute("ALTER TABLE people DROP COLUMN paper")
