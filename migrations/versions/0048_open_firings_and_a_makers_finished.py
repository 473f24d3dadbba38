"""Indexes of the firings that are open, and of a maker's pieces by stage and time."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0048"
down_revision = "0047"
branch_labels = None
depends_on = None

_OPEN = sa.text("stage <> 'unloaded'")


def upgrade() -> None:
    """Index what is asked for in order, so that no list looks through all that is finished."""
    op.drop_index("ix_firings_stage", "firings")
    op.create_index("ix_firings_open", "firings", ["id"], sqlite_where=_OPEN, postgresql_where=_OPEN)
    op.drop_index("ix_pieces_maker_id_stage", "pieces")
    op.create_index("ix_pieces_maker_id_stage_since", "pieces", ["maker_id", "stage", "since"])


def downgrade() -> None:
    """Index by stage, and by maker and stage alone."""
    op.drop_index("ix_pieces_maker_id_stage_since", "pieces")
    op.create_index("ix_pieces_maker_id_stage", "pieces", ["maker_id", "stage"])
    op.drop_index("ix_firings_open", "firings")
    op.create_index("ix_firings_stage", "firings", ["stage"])
