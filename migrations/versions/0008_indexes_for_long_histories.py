"""Indexes with which a page costs the same however much history lies in the store."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

# Of many rows only those of which the last is so are in the index.
_FEW = (
    ("ix_people_staff", "people", "name", "role <> 'student'"),
    ("ix_questions_pinned_clay", "questions", "pinned_clay", "pinned_clay IS NOT NULL"),
    ("ix_questions_pinned_glaze", "questions", "pinned_glaze", "pinned_glaze IS NOT NULL"),
    ("ix_firings_outdoors", "firings", "id", "session_id IS NOT NULL"),
)
_WITH_NUMBER = (
    ("firings", "kiln", "id"),
    ("print_jobs", "by_id", "id"),
    ("outdoor_sessions", "kiln", "id"),
    ("layers", "glaze_id", "piece_id"),
)
"""What is asked for by the first column and in the order of the second."""
_REFERENCES = (("taps", "firing_id"), ("taps", "piece_id"))
"""What SQLite goes through for a foreign key when the row it points to is changed."""
_REPLACED = (("print_jobs", "by_id"), ("outdoor_sessions", "kiln"), ("layers", "glaze_id"))


def upgrade() -> None:
    """Add the indexes; three of them take the place of one without the number."""
    for name, table, column, where in _FEW:
        op.create_index(name, table, [column], sqlite_where=sa.text(where), postgresql_where=sa.text(where))
    for table, column, then in _WITH_NUMBER:
        op.create_index(f"ix_{table}_{column}_{then}", table, [column, then])
    for table, column in _REFERENCES:
        op.create_index(f"ix_{table}_{column}", table, [column])
    for table, column in _REPLACED:
        op.drop_index(f"ix_{table}_{column}", table)


def downgrade() -> None:
    """Take them away again."""
    for table, column in _REPLACED:
        op.create_index(f"ix_{table}_{column}", table, [column])
    for table, column, then in _WITH_NUMBER:
        op.drop_index(f"ix_{table}_{column}_{then}", table)
    for table, column in _REFERENCES:
        op.drop_index(f"ix_{table}_{column}", table)
    for name, table, _, _ in _FEW:
        op.drop_index(name, table)
