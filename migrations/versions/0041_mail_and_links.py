"""Mail that is to be sent, and the links in it by which people choose a password."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0041"
down_revision = "0040"
branch_labels = None
depends_on = None

_TO_SEND = sa.text("accepted_at IS NULL AND gave_up_at IS NULL")


def upgrade() -> None:
    """Begin with nothing to send."""
    op.create_table(
        "mails",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("message_id", sa.String(32), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("claim", sa.String(32)),
        sa.Column("claimed_until", sa.DateTime(timezone=True)),
        sa.Column("accepted_at", sa.DateTime(timezone=True)),
        sa.Column("gave_up_at", sa.DateTime(timezone=True)),
        sa.CheckConstraint("kind IN ('sign-up', 'password')", name=op.f("ck_mails_kind")),
        sa.CheckConstraint("tries >= 0", name=op.f("ck_mails_tries_are_counted")),
        sa.CheckConstraint("accepted_at IS NULL OR gave_up_at IS NULL", name=op.f("ck_mails_ends_once")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_mails_person_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mails")),
        sa.UniqueConstraint("message_id", name=op.f("uq_mails_message_id")),
    )
    op.create_index("ix_mails_person_id", "mails", ["person_id"])
    op.create_index("ix_mails_to_send", "mails", ["due_at"], sqlite_where=_TO_SEND, postgresql_where=_TO_SEND)
    op.create_table(
        "links",
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_links_person_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_links")),
    )
    op.create_index("ix_links_person_id", "links", ["person_id"])


def downgrade() -> None:
    """Forget what was to be sent."""
    op.drop_table("links")
    op.drop_table("mails")
