"""A ticket and a tag with a code are told apart, so that the first tag with a code is no reprint."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None

_INDEX = "ix_print_jobs_kind_id"
_TICKETS = """
    UPDATE prints SET of_ticket = TRUE WHERE EXISTS (
        SELECT 1 FROM history
        WHERE history.piece_id = prints.piece_id AND history.step = 'bisque' AND history.at > prints.at
    ) OR EXISTS (SELECT 1 FROM pieces WHERE pieces.id = prints.piece_id AND pieces.code IS NULL)
"""
"""A piece has its code from its bisque on; one that came bisqued had it at once."""


def upgrade() -> None:
    """Tell which tags were tickets, and find the last printing of a kind by an index."""
    op.add_column("prints", sa.Column("of_ticket", sa.Boolean(), nullable=False, server_default=sa.false()))
    op.execute(_TICKETS)
    op.create_index(_INDEX, "print_jobs", ["kind", "id"])


def downgrade() -> None:
    """Forget which were tickets."""
    op.drop_index(_INDEX, "print_jobs")
    op.execute("ALTER TABLE prints DROP COLUMN of_ticket")
