"""Badges sign in on a shared tablet with a PIN, in sessions that end by themselves."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0039"
down_revision = "0038"
branch_labels = None
depends_on = None

_TABLE = "badges"


def upgrade() -> None:
    """Add the table of badges, and mark the sessions that one began: none so far."""
    op.create_table(
        _TABLE,
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=11), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("wrong", sa.Integer(), nullable=False),
        sa.CheckConstraint("wrong >= 0", name=f"ck_{_TABLE}_wrong_is_counted"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=f"fk_{_TABLE}_person_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=f"fk_{_TABLE}_by_id"),
        sa.PrimaryKeyConstraint("person_id", name=f"pk_{_TABLE}"),
        sa.UniqueConstraint("number", name=f"uq_{_TABLE}_number"),
    )
    op.add_column("sessions", sa.Column("by_badge", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    """Forget badges, and end the sessions that one began."""
    op.execute("DELETE FROM sessions WHERE by_badge")
    op.drop_column("sessions", "by_badge")
    op.drop_table(_TABLE)
