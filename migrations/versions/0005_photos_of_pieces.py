"""Photos of pieces, and when a person's data was removed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table of photos; the pictures themselves lie in a folder beside the database."""
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("stem", sa.String(length=32), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(length=20), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_photos_by_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_photos_piece_id"),
        sa.PrimaryKeyConstraint("id", name="pk_photos"),
        sa.UniqueConstraint("stem", name="uq_photos_stem"),
    )
    op.create_index("ix_photos_piece_id", "photos", ["piece_id"])
    op.add_column("people", sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    """Take them away again."""
    op.execute("ALTER TABLE people DROP COLUMN removed_at")
    op.drop_table("photos")
