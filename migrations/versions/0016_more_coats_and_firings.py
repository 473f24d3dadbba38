"""More sorts of coat and of firing; colors that fade do not run, and a layer says to which cone it was fired.

Slip, underglaze and terra sigillata lose color over their top cone, but they do not run off the pot. So what such a
coat is good for (`cone_high`) and what it stands (`ceiling`) part here. What a glaze stands stays as it was.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations.checks import change_one_of

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

_COATS = ("glaze", "underglaze", "slip")
_NEW_COATS = (*_COATS, "sigillata", "wax", "overglaze")
_KINDS = ("bisque", "shelf", "raku", "horsehair")
_NEW_KINDS = (*_KINDS, "overglaze", "once-fire", "pit", "soda", "wood")
_HOTTEST = 140
"""The rank of cone 14, the hottest there is."""


def upgrade() -> None:
    """Wax was kept as a slip with a trait; it is a coat now. Pieces with slip or underglaze stand more than before."""
    change_one_of("glazes", "coat", _COATS, _NEW_COATS)
    change_one_of("routes", "kind", _KINDS, _NEW_KINDS)
    op.add_column("glazes", sa.Column("cone_high", sa.Integer(), nullable=True))
    op.add_column("layers", sa.Column("fired_to", sa.Integer(), nullable=True))
    op.execute("""UPDATE glazes SET coat = 'wax', traits = '[]' WHERE coat = 'slip' AND traits LIKE '%"wax"%'""")
    op.execute("UPDATE glazes SET cone_high = ceiling")
    op.execute(
        """UPDATE layers SET fired_to = (SELECT fired_to FROM pieces WHERE pieces.id = layers.piece_id)
           WHERE piece_id IN (SELECT id FROM pieces WHERE stage IN ('fired', 'claimed'))"""
    )
    _let_stand(f"UPDATE glazes SET ceiling = {_HOTTEST} WHERE coat IN ('slip', 'underglaze')")


def _let_stand(what: str) -> None:
    """Change what glazes stand, and then what the pieces with them stand, in the order that the heat guard allows."""
    follows = op.get_bind().dialect.name != "sqlite"
    op.execute(what)
    if not follows:
        op.execute("UPDATE layers SET glaze_ceiling = (SELECT ceiling FROM glazes WHERE glazes.id = layers.glaze_id)")
    op.execute(
        """UPDATE pieces SET ceiling = (SELECT min(least) FROM (
               SELECT pieces.clay_ceiling AS least
               UNION ALL SELECT layers.glaze_ceiling FROM layers WHERE layers.piece_id = pieces.id) AS all_of_it)
           WHERE id IN (SELECT piece_id FROM layers)"""
    )
    if not follows:
        op.execute("UPDATE layers SET piece_ceiling = (SELECT ceiling FROM pieces WHERE pieces.id = layers.piece_id)")
        for table in ("waiting", "loaded"):
            op.execute(f"UPDATE {table} SET ceiling = (SELECT ceiling FROM pieces WHERE pieces.id = {table}.piece_id)")


_OLD_TOP = """coat IN ('slip', 'underglaze', 'sigillata') AND NOT EXISTS (
    SELECT 1 FROM layers JOIN waiting ON waiting.piece_id = layers.piece_id
    WHERE layers.glaze_id = glazes.id AND waiting.ceiling > glazes.cone_high)"""
"""The coats that are held to their top cone again: all but those of a piece that waits for more heat already."""


def downgrade() -> None:
    """Hold slip and underglaze to their top cones again; coats and firings that are new come closest to an old one."""
    follows = op.get_bind().dialect.name != "sqlite"
    least = f"""(SELECT min(glazes.cone_high) FROM layers JOIN glazes ON glazes.id = layers.glaze_id
        WHERE layers.piece_id = pieces.id AND {_OLD_TOP})"""
    op.execute(f"UPDATE pieces SET ceiling = {least} WHERE ceiling > {least}")
    if not follows:
        op.execute("UPDATE layers SET piece_ceiling = (SELECT ceiling FROM pieces WHERE pieces.id = layers.piece_id)")
    op.execute(f"UPDATE glazes SET ceiling = cone_high WHERE {_OLD_TOP}")
    if not follows:
        op.execute("UPDATE layers SET glaze_ceiling = (SELECT ceiling FROM glazes WHERE glazes.id = layers.glaze_id)")
    op.execute("""UPDATE glazes SET coat = 'slip', traits = '["wax"]' WHERE coat = 'wax'""")
    op.execute("UPDATE glazes SET coat = 'slip' WHERE coat = 'sigillata'")
    op.execute("UPDATE glazes SET coat = 'glaze' WHERE coat = 'overglaze'")
    op.execute("UPDATE routes SET kind = 'horsehair' WHERE kind = 'pit'")
    op.execute("UPDATE routes SET kind = 'shelf' WHERE kind IN ('overglaze', 'once-fire', 'soda', 'wood')")
    op.execute("ALTER TABLE layers DROP COLUMN fired_to")
    op.execute("ALTER TABLE glazes DROP COLUMN cone_high")
    change_one_of("routes", "kind", _NEW_KINDS, _KINDS)
    change_one_of("glazes", "coat", _NEW_COATS, _COATS)
