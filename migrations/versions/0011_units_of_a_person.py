"""The units that a person chose to read and type."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Give each person room for their units; everyone begins with the studio's."""
    op.add_column("people", sa.Column("units", sa.String(6), nullable=True))


def downgrade() -> None:
    """Forget the units by one statement: a batch would rebuild the table and drop its triggers with it."""
    op.execute("ALTER TABLE people DROP COLUMN units")
