"""What clays were measured to absorb at one cone or another; their bare absorption is that of a data sheet alone."""

from __future__ import annotations

import json
from math import fsum

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

_CLAYS = sa.table(
    "clays",
    sa.column("id", sa.Integer),
    sa.column("cone_low", sa.Integer),
    sa.column("absorption_pct", sa.Float),
    sa.column("weighings", sa.Text),
)


def upgrade() -> None:
    """Add room for measurements, and take the means of weighings out of the column for data sheets."""
    op.add_column("clays", sa.Column("absorption", sa.Text(), nullable=False, server_default="[]"))
    for number, _mean in _weighed():
        _write(number, None)


def downgrade() -> None:
    """Put the means of mature specimens back where they were, and forget what was measured otherwise."""
    for number, mean in _weighed():
        _write(number, mean)
    op.execute("ALTER TABLE clays DROP COLUMN absorption")


def _weighed() -> list[tuple[int, float]]:
    """The clays with mature specimens in force, each with the mean of what they absorbed, in percent."""
    found = []
    for row in op.get_bind().execute(sa.select(_CLAYS)).all():
        kept = json.loads(row.weighings)
        pcts = [
            100 * (one["saturated_g"] - one["dry_g"]) / one["dry_g"]
            for one in kept
            if not one.get("withdrawn") and one["cone"] >= row.cone_low
        ]
        if pcts:
            found.append((row.id, round(fsum(pcts) / len(pcts), 9)))
    return found


def _write(number: int, pct: float | None) -> None:
    op.get_bind().execute(sa.update(_CLAYS).where(_CLAYS.c.id == number).values(absorption_pct=pct))
