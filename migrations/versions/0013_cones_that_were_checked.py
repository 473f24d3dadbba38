"""Cones that are not usual are confirmed by a person, and each answer to "04 or 4?" stays on record."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

_HELD = ("clays", "glazes", "routes")
_SAYS = "Footring: what was answered about a cone stays on record."
_VERBS = ("UPDATE", "DELETE")


def upgrade() -> None:
    """Nobody has confirmed a cone yet; add the book of answers, which nobody changes."""
    for table in _HELD:
        op.add_column(table, sa.Column("cones_checked", sa.Boolean(), server_default=sa.text("false"), nullable=False))
    op.create_table(
        "cone_answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("fact", sa.String(length=20), nullable=False),
        sa.Column("cone", sa.Integer(), nullable=False),
        sa.Column("meant", sa.Integer(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("kind IN ('clay', 'glaze', 'route', 'firing')", name="ck_cone_answers_kind"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_cone_answers_by_id"),
        sa.PrimaryKeyConstraint("id", name="pk_cone_answers"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_cone_answers_kind_name", "cone_answers", ["kind", "name"])
    if op.get_bind().dialect.name == "sqlite":
        for verb in _VERBS:
            op.execute(
                f"CREATE TRIGGER cone_answers_stay_on_{verb.lower()} BEFORE {verb} ON cone_answers "
                f"BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION footring_keep_cone_answers() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$"
    )
    for verb in _VERBS:
        op.execute(
            f"CREATE TRIGGER cone_answers_stay_on_{verb.lower()} BEFORE {verb} ON cone_answers "
            "FOR EACH ROW EXECUTE FUNCTION footring_keep_cone_answers()"
        )


def downgrade() -> None:
    """Forget the answers and what was confirmed; one statement each, for a batch would drop the tables' triggers."""
    op.drop_table("cone_answers")
    if op.get_bind().dialect.name != "sqlite":
        op.execute("DROP FUNCTION footring_keep_cone_answers()")
    for table in _HELD:
        op.execute(f"ALTER TABLE {table} DROP COLUMN cones_checked")
