"""The life of a firing: what is planned for it, when it was lit and shut off, its log, its witness cones, its cost."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_NEW: dict[str, sa.types.TypeEngine[Any]] = {
    "planned_for": _MOMENT,
    "lit_at": _MOMENT,
    "shut_at": _MOMENT,
    "plan": sa.Text(),
    "programme": sa.Text(),
    "kwh": sa.Float(),
    "fuel_kg": sa.Float(),
    "cost_cents": sa.Integer(),
}


def upgrade() -> None:
    """Add the columns and tables. A firing that was unloaded had been lit, though nobody wrote down when."""
    for name, kind in _NEW.items():
        op.add_column("firings", sa.Column(name, kind, nullable=True))
    op.add_column("routes", sa.Column("programme", sa.Text(), nullable=True))
    op.create_table(
        "planned",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_planned_firing_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_planned_piece_id"),
        sa.PrimaryKeyConstraint("piece_id", name="pk_planned"),
    )
    op.create_index("ix_planned_firing_id", "planned", ["firing_id"])
    op.create_table(
        "readings",
        sa.Column("firing_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("second", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("temp_c", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_readings_firing_id"),
        sa.PrimaryKeyConstraint("firing_id", "second", name="pk_readings"),
    )
    op.create_table(
        "witnesses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("level", sa.Integer(), nullable=True),
        sa.Column("cone", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("stands", sa.String(length=20), nullable=False),
        sa.CheckConstraint("kind IN ('large', 'self-supporting')", name="ck_witnesses_kind"),
        sa.CheckConstraint("stands IN ('standing', 'tip', 'half', 'down', 'flat')", name="ck_witnesses_stands"),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_witnesses_firing_id"),
        sa.PrimaryKeyConstraint("id", name="pk_witnesses"),
    )
    op.create_index("ix_witnesses_firing_id", "witnesses", ["firing_id"])


def downgrade() -> None:
    """Take them away again."""
    op.drop_table("witnesses")
    op.drop_table("readings")
    op.drop_table("planned")
    op.execute("ALTER TABLE routes DROP COLUMN programme")
    # One statement for each column, for a batch would rebuild the table and drop the guard's triggers with it.
    for name in reversed(_NEW):
        op.execute(f"ALTER TABLE firings DROP COLUMN {name}")
