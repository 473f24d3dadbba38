"""Mail about pieces: what it tells, and how often each person wants it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations.checks import change_one_of

revision = "0042"
down_revision = "0041"
branch_labels = None
depends_on = None

_BEFORE, _AFTER = ("sign-up", "password"), ("sign-up", "password", "news")


def upgrade() -> None:
    """Everybody gets one mail a day until they choose otherwise."""
    op.add_column("people", sa.Column("news", sa.String(6), nullable=True))
    change_one_of("mails", "kind", _BEFORE, _AFTER)
    op.create_table(
        "mail_lines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mail_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer()),
        sa.Column("message", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["mail_id"], ["mails.id"], name=op.f("fk_mail_lines_mail_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_mail_lines_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail_lines")),
    )
    op.create_index("ix_mail_lines_mail_id", "mail_lines", ["mail_id"])
    op.create_index("ix_mail_lines_piece_id", "mail_lines", ["piece_id"])


def downgrade() -> None:
    """Forget what was to be told."""
    op.drop_table("mail_lines")
    op.execute("DELETE FROM mails WHERE kind = 'news'")
    change_one_of("mails", "kind", _AFTER, _BEFORE)
    op.execute("ALTER TABLE people DROP COLUMN news")
