"""What was printed, by whom and when: kept as it was, like all that is past."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_SAYS = "Footring: what was printed stays on record."
_VERBS = ("UPDATE", "DELETE")


def upgrade() -> None:
    """Add the book of printings, and say of each tag printed from now on which printing it came from."""
    op.create_table(
        "print_jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("things", sa.Text(), nullable=False),
        sa.Column("stock", sa.Text(), nullable=False),
        sa.Column("start_at", sa.Integer(), nullable=False),
        sa.Column("nudge_x", sa.Float(), nullable=False),
        sa.Column("nudge_y", sa.Float(), nullable=False),
        sa.Column("dpi", sa.Integer(), nullable=True),
        sa.Column("line", sa.Text(), nullable=False),
        sa.Column("labels", sa.Integer(), nullable=False),
        sa.Column("reprints", sa.Text(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("labels > 0", name="ck_print_jobs_something"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_print_jobs_by_id"),
        sa.PrimaryKeyConstraint("id", name="pk_print_jobs"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_print_jobs_by_id", "print_jobs", ["by_id"])
    op.add_column("prints", sa.Column("job_id", sa.Integer(), nullable=True))
    if op.get_bind().dialect.name == "sqlite":
        for verb in _VERBS:
            op.execute(
                f"CREATE TRIGGER print_jobs_stay_on_{verb.lower()} BEFORE {verb} ON print_jobs "
                f"BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION footring_keep_print_jobs() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$"
    )
    for verb in _VERBS:
        op.execute(
            f"CREATE TRIGGER print_jobs_stay_on_{verb.lower()} BEFORE {verb} ON print_jobs "
            "FOR EACH ROW EXECUTE FUNCTION footring_keep_print_jobs()"
        )


def downgrade() -> None:
    """Take them away again."""
    if op.get_bind().dialect.name == "sqlite":
        for verb in _VERBS:
            op.execute(f"DROP TRIGGER print_jobs_stay_on_{verb.lower()}")
        op.execute("ALTER TABLE prints DROP COLUMN job_id")
        op.drop_table("print_jobs")
        return
    op.drop_column("prints", "job_id")
    op.drop_table("print_jobs")
    op.execute("DROP FUNCTION footring_keep_print_jobs()")
