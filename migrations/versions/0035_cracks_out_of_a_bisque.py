"""Cracks that a bisque left are flaws of their pieces, also of those that came out before flaws were kept so.

The result of that bisque is on record, as it was corrected last. What staff took off a piece by name since, or what a
correction says was never fired, is left alone.
"""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

from migrations.facts import texts_in

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None

_CRACKS = ("dunted", "s-crack", "cracked")
_IN_ORDER = (
    *("crazed", "crawled", "pinholed", "blistered", "shivered", *_CRACKS),
    *("bloated", "warped", "slumped", "stuck", "ran", "underfired", "overfired", "color-off"),
)
_CRACKED = """SELECT h.id, h.piece_id, r.outcome, p.flaws FROM history h
    JOIN results r ON r.piece_id = h.piece_id AND r.firing_id = h.firing_id
    JOIN pieces p ON p.id = h.piece_id
    WHERE h.step = 'bisque' AND (r.outcome LIKE '%crack%' OR r.outcome LIKE '%dunted%') ORDER BY h.id"""
_SINCE = """SELECT step, "to", facts FROM history
    WHERE piece_id = :piece AND id > :line AND step IN ('correct', 'note flaws') ORDER BY id"""


def upgrade() -> None:
    """Add each such crack to the flaws of its piece, which then counts as cracked too."""
    connection = op.get_bind()
    for line, piece, outcome, flaws in connection.execute(sa.text(_CRACKED)).all():
        cracks = {word for word in outcome.split(",") if word in _CRACKS}
        for step, to, facts in connection.execute(sa.text(_SINCE), {"piece": piece, "line": line}).all():
            if step == "correct" and to != "fired":
                cracks = set()
            elif step == "note flaws":
                cracks -= texts_in(json.loads(facts or "{}").get("fewer"))
        had = set((flaws or "").split(",")) - {""}
        if cracks - had:
            kept = ",".join(one for one in _IN_ORDER if one in had | cracks)
            change = sa.text("UPDATE pieces SET flaws = :flaws, mended = :yes WHERE id = :piece")
            change = change.bindparams(sa.bindparam("yes", True, sa.Boolean()))  # noqa: FBT003 -- its value
            connection.execute(change, {"flaws": kept, "piece": piece})


def downgrade() -> None:
    """Keep them: they are in the record either way."""
