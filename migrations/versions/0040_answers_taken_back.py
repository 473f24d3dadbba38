"""Answers that the instructor took back stay on record; their questions are open again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0040"
down_revision = "0039"
branch_labels = None
depends_on = None

_TABLE = "answers_taken_back"
_REFERS = {
    "question_id": "questions.id",
    "answered_by": "people.id",
    "taken_back_by": "people.id",
}


def upgrade() -> None:
    """Add the table they are kept in."""
    op.create_table(
        _TABLE,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("question_id", sa.Integer(), nullable=False),
        sa.Column("allowed", sa.Boolean(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("answered_by", sa.Integer(), nullable=False),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_back_by", sa.Integer(), nullable=False),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=False),
        *(sa.ForeignKeyConstraint([own], [other], name=f"fk_{_TABLE}_{own}") for own, other in _REFERS.items()),
        sa.PrimaryKeyConstraint("id", name=f"pk_{_TABLE}"),
    )
    op.create_index(f"ix_{_TABLE}_question_id", _TABLE, ["question_id"])


def downgrade() -> None:
    """Forget them."""
    op.drop_table(_TABLE)
