"""The number of a glaze's place on the glaze shelf."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Give each glaze room for its number; none has one yet."""
    op.add_column("glazes", sa.Column("shelf_number", sa.Integer(), nullable=True))


def downgrade() -> None:
    """Forget the numbers."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute("ALTER TABLE glazes DROP COLUMN shelf_number")
        return
    op.drop_column("glazes", "shelf_number")
