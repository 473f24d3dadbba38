"""A form that was sent after its session had ended is kept in the next one."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Give each session room for one form."""
    op.add_column("sessions", sa.Column("kept_form", sa.Text(), nullable=True))


def downgrade() -> None:
    """Forget the forms."""
    op.execute("ALTER TABLE sessions DROP COLUMN kept_form")
