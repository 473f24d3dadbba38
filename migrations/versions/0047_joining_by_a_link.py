"""Links by which students join a section, and who asked to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0047"
down_revision = "0046"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Begin with no link."""
    op.create_table(
        "join_links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("section_id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(12), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=False),
        sa.Column("asks_first", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True)),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_join_links_by_id")),
        sa.ForeignKeyConstraint(
            ["section_id"], ["sections.id"], name=op.f("fk_join_links_section_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_join_links")),
        sa.UniqueConstraint("token", name=op.f("uq_join_links_token")),
    )
    op.create_index("ix_join_links_section_id", "join_links", ["section_id"])
    op.create_table(
        "joiners",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("link_id", sa.Integer(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("proven_at", sa.DateTime(timezone=True)),
        sa.Column("let_in_at", sa.DateTime(timezone=True)),
        sa.Column("is_new", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["link_id"], ["join_links.id"], name=op.f("fk_joiners_link_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_joiners_person_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_joiners")),
    )
    op.create_index("ix_joiners_link_id", "joiners", ["link_id"])


def downgrade() -> None:
    """Forget the links; whoever waits has left."""
    op.drop_table("joiners")
    op.drop_table("join_links")
