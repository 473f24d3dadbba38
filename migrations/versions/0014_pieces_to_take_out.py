"""Pieces that a change made unfit while they are in a kiln being loaded: it is not started with one of them in it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_STILL_IN = "a piece that must come out is still in this kiln"
_STARTS_WITH_ONE = (
    "NEW.stage IN ('firing', 'cooling', 'unloaded') AND EXISTS (SELECT 1 FROM leaving WHERE firing_id = NEW.id)"
)
_IN_NO_OPEN_KILN = "NOT EXISTS (SELECT 1 FROM firings WHERE id = NEW.firing_id AND stage = 'loading')"

_GUARDS = {
    "firings_wait_for_what_must_leave": ("BEFORE UPDATE OF stage ON firings", _STARTS_WITH_ONE),
    "leaving_an_open_kiln": ("BEFORE INSERT ON leaving", _IN_NO_OPEN_KILN),
}
"""Name of each trigger: its event, and when it refuses."""


def upgrade() -> None:
    """Add the list, and the triggers that keep a kiln from being started before its part of it is empty."""
    op.create_table(
        "leaving",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("since", _MOMENT, nullable=False),
        sa.Column("findings", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("queue_route", sa.String(length=40), nullable=True),
        sa.Column("waiting_since", _MOMENT, nullable=True),
        sa.Column("accepted", sa.Text(), nullable=False),
        sa.Column("question_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_leaving_firing_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_leaving_piece_id"),
        sa.ForeignKeyConstraint(["question_id"], ["questions.id"], name="fk_leaving_question_id"),
        sa.ForeignKeyConstraint(["queue_route"], ["routes.name"], name="fk_leaving_queue_route"),
        sa.PrimaryKeyConstraint("piece_id", name="pk_leaving"),
    )
    op.create_index("ix_leaving_firing_id", "leaving", ["firing_id"])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (event, refuses) in _GUARDS.items():
        if sqlite:
            op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{_STILL_IN}'); END")
            continue
        body = f"IF {refuses} THEN RAISE EXCEPTION '{_STILL_IN}'; END IF; RETURN NEW;"
        op.execute(f"CREATE FUNCTION footring_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$")
        op.execute(f"CREATE TRIGGER {name} {event} FOR EACH ROW EXECUTE FUNCTION footring_{name}()")


def downgrade() -> None:
    """Take them away again."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (event, _refuses) in _GUARDS.items():
        table = event.rpartition(" ")[2]
        op.execute(f"DROP TRIGGER {name}" if sqlite else f"DROP TRIGGER {name} ON {table}")
        if not sqlite:
            op.execute(f"DROP FUNCTION footring_{name}()")
    op.drop_table("leaving")
