"""A piece that was registered twice: the ticket and code of the one lead to the other."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nobody has told of two registrations yet that they are one piece."""
    op.create_table(
        "merged",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("into_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_merged_piece_id"),
        sa.ForeignKeyConstraint(["into_id"], ["pieces.id"], name="fk_merged_into_id"),
        sa.PrimaryKeyConstraint("piece_id", name="pk_merged"),
    )
    op.create_index("ix_merged_into_id", "merged", ["into_id"])


def downgrade() -> None:
    """Forget which pieces are one."""
    op.drop_table("merged")
