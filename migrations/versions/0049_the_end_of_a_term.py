"""The end of a term: its pickup day, and which notice to makers went out."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0049"
down_revision = "0048"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """No term has a pickup day yet, and nobody was told of an end."""
    op.add_column("terms", sa.Column("pickup_on", sa.Date()))
    op.add_column("terms", sa.Column("noticed_days", sa.Integer()))


def downgrade() -> None:
    """Forget both."""
    op.execute("ALTER TABLE terms DROP COLUMN noticed_days")
    op.execute("ALTER TABLE terms DROP COLUMN pickup_on")
