"""Indexes of a maker's pieces as they were registered, of sets, and of the people who are here and who left."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0052"
down_revision = "0051"
branch_labels = None
depends_on = None

_IN_A_SET = sa.text("set_name IS NOT NULL")
_HERE = sa.text("left_at IS NULL AND removed_at IS NULL")
_LEFT = sa.text("left_at IS NOT NULL")


def upgrade() -> None:
    """Index what is asked for in order, so that no list looks through all that is finished or everybody who left."""
    op.create_index("ix_pieces_maker_id_registered_at", "pieces", ["maker_id", "registered_at"])
    _few("ix_pieces_sets", "pieces", ["maker_id", "set_name"], _IN_A_SET)
    _few("ix_people_here", "people", ["id"], _HERE)
    _few("ix_people_left", "people", ["left_at", "id"], _LEFT)


def _few(name: str, table: str, columns: list[str], where: sa.TextClause) -> None:
    op.create_index(name, table, columns, sqlite_where=where, postgresql_where=where)


def downgrade() -> None:
    """Drop them."""
    op.drop_index("ix_people_left", "people")
    op.drop_index("ix_people_here", "people")
    op.drop_index("ix_pieces_sets", "pieces")
    op.drop_index("ix_pieces_maker_id_registered_at", "pieces")
