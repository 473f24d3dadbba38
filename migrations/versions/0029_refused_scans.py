"""Scans that were refused stay on a list until whoever scanned has dealt with them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None

_TABLE = "refused_scans"
_WORDS = ("job", "title", "says")
_OPEN = sa.text("done_at IS NULL")


def upgrade() -> None:
    """Add the table they are kept in."""
    op.create_table(
        _TABLE,
        sa.Column("key", sa.String(length=36), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ref", sa.Text(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("line", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in _WORDS),
        sa.Column("remedy", sa.Text(), nullable=True),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=f"fk_{_TABLE}_person_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=f"fk_{_TABLE}_piece_id"),
        sa.PrimaryKeyConstraint("key", name=f"pk_{_TABLE}"),
    )
    op.create_index(f"ix_{_TABLE}_person_id", _TABLE, ["person_id"], sqlite_where=_OPEN, postgresql_where=_OPEN)


def downgrade() -> None:
    """Forget them."""
    op.drop_table(_TABLE)
