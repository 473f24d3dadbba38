"""Pieces that a change showed to be wrong in a kiln that is hot: they wait for no heat any more, and stay in there.

So a wrong cone can be corrected at any time, and what waits or is loaded is still held to the heat that it stands.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_REFERS = {"firing_id": "firings.id", "piece_id": "pieces.id", "queue_route": "routes.name"}
_NOT_HOT = "a piece is only caught in a hot kiln, and waits for no other meanwhile"
_STILL_CAUGHT = "a piece that waits for no such heat is still in this kiln"
_IN_NO_HOT_KILN = """NOT EXISTS (SELECT 1 FROM firings WHERE id = NEW.firing_id AND stage IN ('firing', 'cooling'))
    OR EXISTS (SELECT 1 FROM waiting WHERE piece_id = NEW.piece_id)
    OR EXISTS (SELECT 1 FROM loaded WHERE piece_id = NEW.piece_id)"""
_STARTS_AGAIN = "NEW.stage IN ('planned', 'loading') AND EXISTS (SELECT 1 FROM caught WHERE firing_id = NEW.id)"

_GUARDS = {
    "caught_in_a_hot_kiln": ("BEFORE INSERT ON caught", _IN_NO_HOT_KILN, _NOT_HOT),
    "firings_keep_what_is_caught": ("BEFORE UPDATE OF stage ON firings", _STARTS_AGAIN, _STILL_CAUGHT),
}
"""Name of each trigger: its event, when it refuses, and its sentence."""


def upgrade() -> None:
    """Add the list, and the triggers that keep it to hot kilns."""
    op.create_table(
        "caught",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("since", _MOMENT, nullable=False),
        sa.Column("findings", sa.Text(), nullable=False),
        sa.Column("loaded_at", _MOMENT, nullable=False),
        sa.Column("queue_route", sa.String(length=40), nullable=True),
        sa.Column("waiting_since", _MOMENT, nullable=True),
        sa.Column("accepted", sa.Text(), nullable=False),
        *(sa.ForeignKeyConstraint([own], [other], name=f"fk_caught_{own}") for own, other in _REFERS.items()),
        sa.PrimaryKeyConstraint("piece_id", name="pk_caught"),
    )
    op.create_index("ix_caught_firing_id", "caught", ["firing_id"])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (event, refuses, says) in _GUARDS.items():
        if sqlite:
            op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{says}'); END")
            continue
        body = f"IF {refuses} THEN RAISE EXCEPTION '{says}'; END IF; RETURN NEW;"
        op.execute(f"CREATE FUNCTION footring_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$")
        op.execute(f"CREATE TRIGGER {name} {event} FOR EACH ROW EXECUTE FUNCTION footring_{name}()")


def downgrade() -> None:
    """Take them away; what is caught is taken out of its kiln's books, and is glazed or greenware, as it was before."""
    op.execute(
        """UPDATE pieces SET stage = came_from WHERE stage = 'queued' AND came_from IS NOT NULL
           AND id IN (SELECT piece_id FROM caught)"""
    )
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (event, *_) in _GUARDS.items():
        table = event.rpartition(" ")[2]
        op.execute(f"DROP TRIGGER {name}" if sqlite else f"DROP TRIGGER {name} ON {table}")
        if not sqlite:
            op.execute(f"DROP FUNCTION footring_{name}()")
    op.drop_table("caught")
