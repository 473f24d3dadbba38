"""What is said of each piece while a kiln is unloaded is kept piece by piece, until the firing is unloaded."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None

_TABLE = "unloading"
_REFERS = {"firing_id": "firings.id", "piece_id": "pieces.id", "by_id": "people.id"}


def upgrade() -> None:
    """Add the table it is kept in."""
    op.create_table(
        _TABLE,
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=True),
        sa.Column("outside_only", sa.Boolean(), nullable=False),
        sa.Column("clay_note", sa.Text(), nullable=False),
        sa.Column("glaze_note", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("was_absent", sa.Boolean(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("was_absent = (outcome IS NULL)", name=f"ck_{_TABLE}_out_or_absent"),
        *(sa.ForeignKeyConstraint([own], [other], name=f"fk_{_TABLE}_{own}") for own, other in _REFERS.items()),
        sa.PrimaryKeyConstraint("firing_id", "piece_id", name=f"pk_{_TABLE}"),
    )
    op.create_index(f"ix_{_TABLE}_piece_id", _TABLE, ["piece_id"])


def downgrade() -> None:
    """Forget it."""
    op.drop_table(_TABLE)
