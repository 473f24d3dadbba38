"""Where makers want their pieces fired, which cart or shelf takes pieces for a firing, and layers all over a piece."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations.checks import change_one_of

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None

_ZONES = ("inside", "lip", "outside", "foot")
_NEW_ZONES = ("all-over", *_ZONES)


def upgrade() -> None:
    """Add the list of wishes and the shelf of a firing type, and allow layers all over."""
    change_one_of("layers", "zone", _ZONES, _NEW_ZONES)
    op.add_column("routes", sa.Column("shelf", sa.Text(), nullable=False, server_default=sa.text("''")))
    op.create_table(
        "wishes",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_wishes_by_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_wishes_piece_id"),
        sa.ForeignKeyConstraint(["route"], ["routes.name"], name="fk_wishes_route"),
        sa.PrimaryKeyConstraint("piece_id", name="pk_wishes"),
    )
    op.create_index("ix_wishes_route", "wishes", ["route"])


def downgrade() -> None:
    """Take them away again; a layer all over is kept as one inside, where the food rules look."""
    op.drop_table("wishes")
    op.execute("ALTER TABLE routes DROP COLUMN shelf")
    op.execute("UPDATE layers SET zone = 'inside' WHERE zone = 'all-over'")
    change_one_of("layers", "zone", _NEW_ZONES, _ZONES)
