"""Test tiles of glazes, and the surface of a glaze."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table of test tiles, whose pictures lie beside those of pieces; no glaze has a surface yet."""
    op.create_table(
        "tiles",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("glaze_id", sa.Integer(), nullable=False),
        sa.Column("clay_id", sa.Integer(), nullable=False),
        sa.Column("cone", sa.Integer(), nullable=False),
        sa.Column("atmosphere", sa.String(length=10), nullable=True),
        sa.Column("stem", sa.String(length=32), nullable=False),
        sa.Column("side", sa.Integer(), nullable=False),
        sa.Column("swatch", sa.String(length=7), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("atmosphere IN ('oxidation', 'neutral', 'reduction')", name="ck_tiles_atmosphere"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_tiles_by_id"),
        sa.ForeignKeyConstraint(["clay_id"], ["clays.id"], name="fk_tiles_clay_id"),
        sa.ForeignKeyConstraint(["glaze_id"], ["glazes.id"], name="fk_tiles_glaze_id"),
        sa.PrimaryKeyConstraint("id", name="pk_tiles"),
        sa.UniqueConstraint("stem", name="uq_tiles_stem"),
    )
    op.create_index("ix_tiles_glaze_id", "tiles", ["glaze_id"])
    op.add_column("glazes", sa.Column("surface", sa.String(length=10), nullable=True))


def downgrade() -> None:
    """Take them away again."""
    op.execute("ALTER TABLE glazes DROP COLUMN surface")
    op.drop_table("tiles")
