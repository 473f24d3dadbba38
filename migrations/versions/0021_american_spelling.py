"""American spelling in columns and kept words: color, schedule, luster, press-molded, catalog.

History is never written again, so what it says in the older spelling is read as it is.
"""

from __future__ import annotations

from alembic import op

from migrations.checks import change_one_of

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

_COLUMNS = (
    ("glazes", "colour", "color"),
    ("marks", "colour", "color"),
    ("routes", "programme", "schedule"),
    ("firings", "programme", "schedule"),
)
_BUILDS = ("thrown", "slab", "coil", "pinch", "cast", "press-moulded", "carved")
_AMERICAN_BUILDS = ("thrown", "slab", "coil", "pinch", "cast", "press-molded", "carved")


def upgrade() -> None:
    """Spell them as Americans do."""
    for table, old, new in _COLUMNS:
        op.alter_column(table, old, new_column_name=new)
    _respell_builds(_BUILDS, _AMERICAN_BUILDS)
    op.execute("""UPDATE glazes SET traits = replace(traits, '"lustre"', '"luster"')""")
    op.execute("""UPDATE questions SET message = replace(message, 'left-by-the-catalogue', 'left-by-the-catalog')""")
    op.execute("UPDATE house SET name = 'catalog' WHERE name = 'catalogue'")


def downgrade() -> None:
    """Spell them as before."""
    op.execute("UPDATE house SET name = 'catalogue' WHERE name = 'catalog'")
    op.execute("""UPDATE questions SET message = replace(message, 'left-by-the-catalog', 'left-by-the-catalogue')""")
    op.execute("""UPDATE glazes SET traits = replace(traits, '"luster"', '"lustre"')""")
    _respell_builds(_AMERICAN_BUILDS, _BUILDS)
    for table, old, new in reversed(_COLUMNS):
        op.alter_column(table, new, new_column_name=old)


def _respell_builds(before: tuple[str, ...], after: tuple[str, ...]) -> None:
    both = (*before, *(build for build in after if build not in before))
    change_one_of("pieces", "build", before, both)
    for old, new in zip(before, after, strict=True):
        if old != new:
            op.execute(f"UPDATE pieces SET build = '{new}' WHERE build = '{old}'")
    change_one_of("pieces", "build", both, after)
