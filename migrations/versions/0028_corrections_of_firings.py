"""What was corrected of a firing's times and witness cones stays on record, with who did it and when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None

_SAYS = "Footring: what was corrected of a firing stays on record."
_VERBS = ("UPDATE", "DELETE")


def upgrade() -> None:
    """Add the book of corrections, which nobody changes."""
    op.create_table(
        "firing_corrections",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_firing_corrections_firing_id"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_firing_corrections_by_id"),
        sa.PrimaryKeyConstraint("id", name="pk_firing_corrections"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_firing_corrections_firing_id", "firing_corrections", ["firing_id"])
    if op.get_bind().dialect.name == "sqlite":
        for verb in _VERBS:
            op.execute(
                f"CREATE TRIGGER firing_corrections_stay_on_{verb.lower()} BEFORE {verb} ON firing_corrections "
                f"BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION footring_keep_firing_corrections() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$"
    )
    for verb in _VERBS:
        op.execute(
            f"CREATE TRIGGER firing_corrections_stay_on_{verb.lower()} BEFORE {verb} ON firing_corrections "
            "FOR EACH ROW EXECUTE FUNCTION footring_keep_firing_corrections()"
        )


def downgrade() -> None:
    """Forget what was corrected."""
    op.drop_table("firing_corrections")
    if op.get_bind().dialect.name != "sqlite":
        op.execute("DROP FUNCTION footring_keep_firing_corrections()")
