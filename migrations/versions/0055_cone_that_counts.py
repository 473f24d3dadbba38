"""A firing that missed its target keeps the cone that counts for its pieces."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0055"
down_revision = "0054"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add it; firings of before have none, and their target counts."""
    op.add_column("firings", sa.Column("fired_to", sa.Integer()))


def downgrade() -> None:
    """Drop it."""
    op.drop_column("firings", "fired_to")
