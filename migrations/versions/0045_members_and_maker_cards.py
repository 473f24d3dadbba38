"""Members, people without an email, and what the bar of each maker card says."""

from __future__ import annotations

import secrets

import sqlalchemy as sa
from alembic import op

from migrations.checks import change_one_of, let_be_null, let_be_null_no_more

revision = "0045"
down_revision = "0044"
branch_labels = None
depends_on = None

_BEFORE = ("student", "staff", "instructor")
_AFTER = ("student", "member", "staff", "instructor")
_RUN = sa.text("role IN ('staff', 'instructor')")
_NOT_STUDENTS = sa.text("role <> 'student'")
_NO_EMAIL = sa.text("email IS NULL")
_LETTERS = "CDEFGHKLNPRTX"


def upgrade() -> None:
    """Draw a card for everybody who is here; whoever's data was removed has no invented email anymore."""
    change_one_of("people", "role", _BEFORE, _AFTER)
    let_be_null("people", "email", "VARCHAR(254)")
    op.add_column("people", sa.Column("card", sa.String(11)))
    op.execute("UPDATE people SET email = NULL WHERE removed_at IS NOT NULL")
    _draw_cards()
    _index_staff(_RUN)
    op.create_index(
        "ix_people_without_email", "people", ["section"], sqlite_where=_NO_EMAIL, postgresql_where=_NO_EMAIL
    )
    op.create_index("ix_people_card", "people", ["card"], unique=True)


def downgrade() -> None:
    """Make members students, and give whoever has no email one that no mail reaches."""
    op.drop_index("ix_people_card", "people")
    op.drop_index("ix_people_without_email", "people")
    op.execute("UPDATE people SET role = 'student' WHERE role = 'member'")
    op.execute("UPDATE people SET email = 'nobody-' || id || '@removed.invalid' WHERE email IS NULL")
    _index_staff(_NOT_STUDENTS)
    op.execute("ALTER TABLE people DROP COLUMN card")
    let_be_null_no_more("people", "email", "VARCHAR(254)")
    change_one_of("people", "role", _AFTER, _BEFORE)


def _index_staff(where: sa.TextClause) -> None:
    op.drop_index("ix_people_staff", "people")
    op.create_index("ix_people_staff", "people", ["name"], sqlite_where=where, postgresql_where=where)


def _draw_cards() -> None:
    connection = op.get_bind()
    numbers = connection.execute(sa.text("SELECT id FROM people WHERE removed_at IS NULL")).scalars().all()
    cards = [
        {"of": number, "card": f"S{''.join(secrets.choice(_LETTERS) for _place in range(9))}S"} for number in numbers
    ]
    if cards:
        connection.execute(sa.text("UPDATE people SET card = :card WHERE id = :of"), cards)
