"""Ware shelves that were named before anything was put on them, and stocktakes with what was scanned in each."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add their tables; what has pieces on it stays a shelf without a row."""
    op.create_table(
        "ware_shelves",
        sa.Column("folded", sa.String(length=180), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_ware_shelves_by_id"),
        sa.PrimaryKeyConstraint("folded", name="pk_ware_shelves"),
    )
    op.create_table(
        "stocktakes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(length=60), nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_stocktakes_by_id"),
        sa.PrimaryKeyConstraint("id", name="pk_stocktakes"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_stocktakes_place_id", "stocktakes", ["place", "id"])
    op.create_table(
        "stocktake_scans",
        sa.Column("stocktake_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["stocktake_id"], ["stocktakes.id"], name="fk_stocktake_scans_stocktake_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_stocktake_scans_piece_id"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_stocktake_scans_by_id"),
        sa.PrimaryKeyConstraint("stocktake_id", "piece_id", name="pk_stocktake_scans"),
    )
    op.create_index("ix_stocktake_scans_piece_id", "stocktake_scans", ["piece_id"])


def downgrade() -> None:
    """Forget them."""
    op.drop_table("stocktake_scans")
    op.drop_table("stocktakes")
    op.drop_table("ware_shelves")
