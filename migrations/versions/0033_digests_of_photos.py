"""What the files of each photo must read as, so that a check finds one that rotted on its disk."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0033"
down_revision = "0032"
branch_labels = None
depends_on = None

_TABLES = ("photos", "tiles")


def upgrade() -> None:
    """Know none yet: the next check notes what is there."""
    for table in _TABLES:
        op.add_column(table, sa.Column("sha256", sa.String(64)))


def downgrade() -> None:
    """Forget them."""
    for table in _TABLES:
        op.execute(f"ALTER TABLE {table} DROP COLUMN sha256")
