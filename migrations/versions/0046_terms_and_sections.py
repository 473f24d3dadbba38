"""Terms and the sections in them: each word that stood beside people becomes a section of no term."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0046"
down_revision = "0045"
branch_labels = None
depends_on = None

_OF_NO_TERM = sa.text("term_id IS NULL")
_NO_EMAIL = sa.text("email IS NULL")


def upgrade() -> None:
    """Make a section of each word, and let people point to it."""
    op.create_table(
        "terms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True)),
        sa.CheckConstraint("starts_on <= ends_on", name=op.f("ck_terms_starts_before_it_ends")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_terms")),
        sa.UniqueConstraint("name", name=op.f("uq_terms_name")),
    )
    op.create_table(
        "sections",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("term_id", sa.Integer()),
        sa.CheckConstraint("name <> ''", name=op.f("ck_sections_has_a_name")),
        sa.ForeignKeyConstraint(["term_id"], ["terms.id"], name=op.f("fk_sections_term_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sections")),
        sa.UniqueConstraint("term_id", "name", name=op.f("uq_sections_term_id_name")),
    )
    op.create_index(
        "ix_sections_of_no_term",
        "sections",
        ["name"],
        unique=True,
        sqlite_where=_OF_NO_TERM,
        postgresql_where=_OF_NO_TERM,
    )
    op.execute("INSERT INTO sections (name) SELECT DISTINCT section FROM people WHERE section <> '' ORDER BY section")
    points = "section_id INTEGER CONSTRAINT fk_people_section_id REFERENCES sections (id)"
    op.execute(f"ALTER TABLE people ADD COLUMN {points}")
    op.execute("UPDATE people SET section_id = (SELECT id FROM sections WHERE sections.name = people.section)")
    op.drop_index("ix_people_without_email", "people")
    op.execute("ALTER TABLE people DROP COLUMN section")
    op.create_index("ix_people_section_id", "people", ["section_id"])
    _index_those_without_email("section_id")


def downgrade() -> None:
    """Write each section's name beside its people again; their terms are forgotten."""
    op.add_column("people", sa.Column("section", sa.Text(), nullable=False, server_default=""))
    named = "SELECT name FROM sections WHERE sections.id = people.section_id"
    op.execute(f"UPDATE people SET section = ({named}) WHERE section_id IS NOT NULL")
    op.drop_index("ix_people_without_email", "people")
    op.drop_index("ix_people_section_id", "people")
    op.execute("ALTER TABLE people DROP COLUMN section_id")
    _index_those_without_email("section")
    op.drop_table("sections")
    op.drop_table("terms")


def _index_those_without_email(by: str) -> None:
    op.create_index("ix_people_without_email", "people", [by], sqlite_where=_NO_EMAIL, postgresql_where=_NO_EMAIL)
