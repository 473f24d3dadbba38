"""An outdoor session knows its propane tanks, how much each holds, and what its burner draws."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a place for each; sessions from before keep nothing there."""
    op.add_column("outdoor_sessions", sa.Column("tanks", sa.Integer(), nullable=True))
    op.add_column("outdoor_sessions", sa.Column("tank_kg", sa.Float(), nullable=True))
    op.add_column("outdoor_sessions", sa.Column("burner_kw", sa.Float(), nullable=True))


def downgrade() -> None:
    """Take them away again, each by one statement: a batch would rebuild the table and drop its triggers with it."""
    for name in ("burner_kw", "tank_kg", "tanks"):
        op.execute(f"ALTER TABLE outdoor_sessions DROP COLUMN {name}")
