"""An index of the firings indoors, as there is one of those outdoors."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0053"
down_revision = "0052"
branch_labels = None
depends_on = None

_INDOORS = sa.text("session_id IS NULL")


def upgrade() -> None:
    """Index them by number, so that a list of the newest looks at no others."""
    op.create_index("ix_firings_indoors", "firings", ["id"], sqlite_where=_INDOORS, postgresql_where=_INDOORS)


def downgrade() -> None:
    """Drop the index."""
    op.drop_index("ix_firings_indoors", "firings")
