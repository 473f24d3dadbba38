"""Questions that were withdrawn stay on record, with who withdrew them and when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None

_TABLE = "withdrawn_questions"
_PEOPLE = ("asked_by", "withdrawn_by")


def upgrade() -> None:
    """Add the table they are kept in; those withdrawn before are gone."""
    op.create_table(
        _TABLE,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("message", sa.Text(), nullable=True),
        sa.Column("asked_by", sa.Integer(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_by", sa.Integer(), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=f"fk_{_TABLE}_piece_id"),
        sa.ForeignKeyConstraint(["route"], ["routes.name"], name=f"fk_{_TABLE}_route"),
        *(sa.ForeignKeyConstraint([who], ["people.id"], name=f"fk_{_TABLE}_{who}") for who in _PEOPLE),
        sa.PrimaryKeyConstraint("id", name=f"pk_{_TABLE}"),
    )
    op.create_index(f"ix_{_TABLE}_piece_id", _TABLE, ["piece_id"])


def downgrade() -> None:
    """Forget them."""
    op.drop_table(_TABLE)
