"""Shivering that was recorded as only outside counts: it sheds slivers wherever it is (common practice).

A piece has it where its history still tells it of the outside or the foot: no later fire mends it. What staff took off
a piece by name since, or what a correction says was never fired, is left alone.
"""

from __future__ import annotations

import json
from itertools import groupby

import sqlalchemy as sa
from alembic import op

from migrations.facts import texts_in

revision = "0051"
down_revision = "0050"
branch_labels = None
depends_on = None

_SHIVERED = "shivered"
_BEFORE_IT = frozenset({"crazed", "crawled", "pinholed", "blistered"})
"""The flaws that are told before it."""

_LINES = """SELECT h.piece_id, h.step, h."to", h.facts, r.outcome, r.outside_only, p.flaws FROM history h
    JOIN pieces p ON p.id = h.piece_id
    LEFT JOIN results r ON r.piece_id = h.piece_id AND r.firing_id = h.firing_id
    WHERE h.step IN ('fire', 'note flaws', 'correct') AND h.piece_id IN (
        SELECT piece_id FROM results WHERE outside_only AND outcome LIKE '%shivered%'
        UNION SELECT piece_id FROM history WHERE step = 'note flaws' AND facts LIKE '%shivered%')
    ORDER BY h.piece_id, h.id"""


def upgrade() -> None:
    """Add it to the flaws of each such piece."""
    connection = op.get_bind()
    change = sa.text("UPDATE pieces SET flaws = :flaws WHERE id = :piece")
    for piece, told in groupby(connection.execute(sa.text(_LINES)).all(), key=lambda line: line.piece_id):
        lines = list(told)
        had = [word for word in (lines[-1].flaws or "").split(",") if word]
        if _is_shivered_outside(lines) and _SHIVERED not in had:
            place = sum(word in _BEFORE_IT for word in had)
            flaws = ",".join([*had[:place], _SHIVERED, *had[place:]])
            connection.execute(change, {"flaws": flaws, "piece": piece})


def _is_shivered_outside(lines: list[sa.Row[tuple[object, ...]]]) -> bool:
    """Whether that is told of a piece, after all these lines of its history."""
    found = False
    for line in lines:
        if line.step == "fire" and line.outside_only:
            found = found or _SHIVERED in line.outcome.split(",")
        elif line.step == "note flaws":
            facts = json.loads(line.facts or "{}")
            found = found and _SHIVERED not in texts_in(facts.get("fewer"))
            found = found or (facts.get("outside_only") is True and _SHIVERED in texts_in(facts.get("more")))
        elif line.step == "correct" and line.to != "fired":
            found = False
    return found


def downgrade() -> None:
    """Keep it: it is in the record either way."""
