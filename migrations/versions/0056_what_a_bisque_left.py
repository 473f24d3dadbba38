"""Whatever a bisque left wrong is a flaw of its piece, no longer its cracks alone.

What bent or bloated stays so. That its bisque was too cool or too hot counts until its glaze was fired. The result of
that bisque is on record, as it was corrected last. What staff took off a piece by name since, or what a correction says
was never fired, is left alone.
"""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

from migrations.facts import texts_in

revision = "0056"
down_revision = "0055"
branch_labels = None
depends_on = None

_SHAPES = ("bloated", "warped", "slumped")
_HEATS = ("underfired", "overfired")
_IN_ORDER = (
    *("crazed", "crawled", "pinholed", "blistered", "shivered", "dunted", "s-crack", "cracked"),
    *(*_SHAPES, "stuck", "ran", *_HEATS, "color-off"),
)
_BENT = """SELECT h.id, h.piece_id, r.outcome, p.flaws FROM history h
    JOIN results r ON r.piece_id = h.piece_id AND r.firing_id = h.firing_id
    JOIN pieces p ON p.id = h.piece_id
    WHERE h.step = 'bisque' AND r.outcome <> 'good' ORDER BY h.id"""
_SINCE = """SELECT step, "to", facts FROM history
    WHERE piece_id = :piece AND id > :line AND step IN ('correct', 'note flaws', 'fire') ORDER BY id"""


def upgrade() -> None:
    """Add each such flaw to those of its piece."""
    connection = op.get_bind()
    for line, piece, outcome, flaws in connection.execute(sa.text(_BENT)).all():
        found = {word for word in outcome.split(",") if word in (*_SHAPES, *_HEATS)}
        for step, to, facts in connection.execute(sa.text(_SINCE), {"piece": piece, "line": line}).all():
            if step == "fire":
                found -= set(_HEATS)
            elif step == "correct" and to != "fired":
                found = set()
            elif step == "note flaws":
                found -= texts_in(json.loads(facts or "{}").get("fewer"))
        had = set((flaws or "").split(",")) - {""}
        if found - had:
            kept = ",".join(one for one in _IN_ORDER if one in had | found)
            change = sa.text("UPDATE pieces SET flaws = :flaws WHERE id = :piece")
            connection.execute(change, {"flaws": kept, "piece": piece})


def downgrade() -> None:
    """Keep them: they are in the record either way."""
