"""What came of a piece in a fire is good, broken or several flaws, with notes; a piece keeps those that still count."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

_OLD_WORDS = ("good", "crawled", "crazed", "pinholed", "ran", "stuck", "cracked", "broke", "underfired", "overfired")
_NEAREST = {
    "blistered": "pinholed",
    "shivered": "crazed",
    "dunted": "cracked",
    "s-crack": "cracked",
    "bloated": "overfired",
    "warped": "overfired",
    "slumped": "overfired",
    "color-off": "crawled",
}
"""For each flaw that had no word before, the one that an older schema keeps in its place."""


def upgrade() -> None:
    """Let results hold several words and notes, and note on each piece what its glaze firings left on it."""
    if op.get_bind().dialect.name == "sqlite":
        # A check cannot be taken away there, and no trigger guards this table: it is made anew and filled again.
        _made_anew(
            sa.Column("outcome", sa.Text(), nullable=False),
            sa.Column("outside_only", sa.Boolean(), nullable=False),
            sa.Column("clay_note", sa.Text(), nullable=False),
            sa.Column("glaze_note", sa.Text(), nullable=False),
            select="outcome, 0, '', ''",
        )
    else:
        op.drop_constraint(op.f("ck_results_outcome"), "results", type_="check")
        op.alter_column("results", "outcome", type_=sa.Text(), existing_nullable=False)
        op.execute("ALTER TABLE results ADD COLUMN outside_only BOOLEAN NOT NULL DEFAULT FALSE")
        for note in _NOTES:
            op.execute(f"ALTER TABLE results ADD COLUMN {note} TEXT NOT NULL DEFAULT ''")
        for name in ("outside_only", *_NOTES):
            op.execute(f"ALTER TABLE results ALTER COLUMN {name} DROP DEFAULT")
    op.add_column("pieces", sa.Column("flaws", sa.Text(), nullable=True))
    _note_flaws()


_NOTES = ("clay_note", "glaze_note")


def _note_flaws() -> None:
    """Until a good result the flaws of a piece add up; only what is still in its glaze or fired counts."""
    connection = op.get_bind()
    flawed = "SELECT piece_id FROM results WHERE outcome NOT IN ('good', 'broke')"
    rows = connection.execute(
        sa.text(
            "SELECT results.piece_id, results.outcome FROM results"
            " JOIN firings ON firings.id = results.firing_id JOIN pieces ON pieces.id = results.piece_id"
            f" WHERE NOT firings.is_bisque AND pieces.fired_to IS NOT NULL AND results.piece_id IN ({flawed})"
            " ORDER BY results.firing_id"
        )
    )
    left: dict[int, list[str]] = {}
    for piece_id, outcome in rows.all():
        before = [] if outcome == "good" else left.get(piece_id, [])
        left[piece_id] = before if outcome in {"good", "broke", *before} else [*before, outcome]
    for piece_id, flaws in left.items():
        if flaws:
            change = sa.text("UPDATE pieces SET flaws = :flaws WHERE id = :piece")
            connection.execute(change, {"flaws": ",".join(flaws), "piece": piece_id})


def downgrade() -> None:
    """Keep the first word of each result, or the nearest that there was before; notes are lost."""
    op.execute("ALTER TABLE pieces DROP COLUMN flaws")
    if op.get_bind().dialect.name == "sqlite":
        first = "substr(outcome, 1, instr(outcome || ',', ',') - 1)"
        _made_anew(sa.Column("outcome", sa.String(20), nullable=False), _only_old_words(), select=_old_word(first))
        return
    for name in ("outside_only", *_NOTES):
        op.drop_column("results", name)
    first = _old_word("split_part(outcome, ',', 1)")
    op.execute(f"UPDATE results SET outcome = {first}")
    op.alter_column("results", "outcome", type_=sa.String(20), existing_nullable=False)
    op.create_check_constraint(op.f("ck_results_outcome"), "results", _only_old_words().sqltext)


def _only_old_words() -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in _OLD_WORDS)
    return sa.CheckConstraint(f"outcome IN ({listed})", name=op.f("ck_results_outcome"))


def _old_word(first: str) -> str:
    cases = " ".join(f"WHEN '{word}' THEN '{nearest}'" for word, nearest in _NEAREST.items())
    return f"CASE {first} {cases} ELSE {first} END"


def _made_anew(*columns: sa.Column[object] | sa.CheckConstraint, select: str) -> None:
    op.create_table(
        "new_results",
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        *columns,
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name=op.f("fk_results_firing_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_results_piece_id")),
        sa.PrimaryKeyConstraint("firing_id", "piece_id", name=op.f("pk_results")),
    )
    op.execute(f"INSERT INTO new_results SELECT firing_id, piece_id, {select} FROM results")
    op.drop_table("results")
    op.rename_table("new_results", "results")
    op.create_index("ix_results_piece_id", "results", ["piece_id"])
