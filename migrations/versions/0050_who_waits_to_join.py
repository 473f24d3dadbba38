"""Whoever waits to be let in is found without looking at all who ever joined."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0050"
down_revision = "0049"
branch_labels = None
depends_on = None

_WAITS = sa.text("let_in_at IS NULL")


def upgrade() -> None:
    """Index who waits, and when the others were let in."""
    op.create_index("ix_joiners_waiting", "joiners", ["asked_at"], sqlite_where=_WAITS, postgresql_where=_WAITS)
    op.create_index("ix_joiners_let_in_at", "joiners", ["let_in_at"])


def downgrade() -> None:
    """Look at all of them again."""
    op.drop_index("ix_joiners_let_in_at", "joiners")
    op.drop_index("ix_joiners_waiting", "joiners")
