"""A note for staff about a person, such as when they come to pick up their pieces."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0038"
down_revision = "0037"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Note nothing about anyone yet."""
    op.add_column("people", sa.Column("note", sa.Text(), nullable=False, server_default=""))


def downgrade() -> None:
    """Forget the notes."""
    op.execute("ALTER TABLE people DROP COLUMN note")
