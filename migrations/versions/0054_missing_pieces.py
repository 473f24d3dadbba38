"""Indexes of the lines of history with which pieces went missing and turned up."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0054"
down_revision = "0053"
branch_labels = None
depends_on = None

_MISSED = sa.text("step = 'lose' AND reason = 'missing'")
_FOUND = sa.text("step = 'find'")


def upgrade() -> None:
    """Index those few, so that a list of them looks at no other line."""
    _few("ix_history_missed", "piece_id", _MISSED)
    _few("ix_history_found", "at", _FOUND)


def _few(name: str, column: str, where: sa.TextClause) -> None:
    op.create_index(name, "history", [column], sqlite_where=where, postgresql_where=where)


def downgrade() -> None:
    """Drop them."""
    op.drop_index("ix_history_found", "history")
    op.drop_index("ix_history_missed", "history")
