"""Outdoor sessions: who fires what in an afternoon, what was tapped beside the kiln, and what the fire did.

An outdoor firing is a round of a session, and what is made for food is in none. Both are triggers, because a key or a
check more would have SQLite build the guarded table of firings anew.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_NO_SESSION = "an outdoor firing is a round of a session, and an indoor firing is not"
_FOR_FOOD = "what is made for food is in no outdoor firing"
_HEARD = "what was tapped is kept as it came"

_ASTRAY = """
    (NEW.session_id IS NULL AND EXISTS (
        SELECT 1 FROM routes WHERE routes.name = NEW.route AND routes.kind IN ('raku', 'horsehair')))
    OR (NEW.session_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM routes, outdoor_sessions WHERE routes.name = NEW.route
            AND routes.kind IN ('raku', 'horsehair') AND outdoor_sessions.id = NEW.session_id
            AND outdoor_sessions.kiln = NEW.kiln))"""
_FOOD = "what is made for food is in no outdoor firing"
_HEARD = "what was tapped is kept as it came"

_ASTRAY = """
    (NEW.session_id IS NULL AND EXISTS (
        SELECT 1 FROM routes WHERE routes.name = NEW.route AND routes.kind IN ('raku', 'horsehair')))
    OR (NEW.session_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM routes, outdoor_sessions WHERE routes.name = NEW.route
            AND routes.kind IN ('raku', 'horsehair') AND outdoor_sessions.id = NEW.session_id
            AND outdoor_sessions.kiln = NEW.kiln))"""
# A firing from before there were sessions has none, and ends as it began.
_SAME = "NEW.session_id IS NOT DISTINCT FROM OLD.session_id AND NEW.route = OLD.route AND NEW.kiln = OLD.kiln"
_FOOD = """EXISTS (SELECT 1 FROM pieces, firings WHERE pieces.id = NEW.piece_id AND pieces.use = 'food'
    AND firings.id = NEW.firing_id AND firings.session_id IS NOT NULL)"""
_TURNED_TO_FOOD = """NEW.use = 'food' AND EXISTS (SELECT 1 FROM loaded, firings WHERE loaded.piece_id = NEW.id
    AND firings.id = loaded.firing_id AND firings.session_id IS NOT NULL)"""

_RULES = {
    "outdoor_firings_begin_in_a_session": ("firings", "INSERT", _ASTRAY, _NO_SESSION),
    "outdoor_firings_stay_in_their_session": ("firings", "UPDATE", _ASTRAY, _NO_SESSION),
    "outdoors_no_food_goes_in": ("loaded", "INSERT", _FOOD, _FOR_FOOD),
    "outdoors_no_food_is_moved_in": ("loaded", "UPDATE", _FOOD, _FOR_FOOD),
    "outdoors_nothing_turns_to_food": ("pieces", "UPDATE", _TURNED_TO_FOOD, _FOR_FOOD),
    "taps_are_not_changed": ("taps", "UPDATE", "TRUE", _HEARD),
    "taps_are_not_removed": ("taps", "DELETE", "TRUE", _HEARD),
}
"""Name of each trigger: its table, the verb it stands before, when it refuses, and its sentence."""


def upgrade() -> None:
    """Add the tables, the session of a firing, and the triggers."""
    op.create_table(
        "outdoor_sessions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kiln", sa.String(length=60), nullable=False),
        sa.Column("stage", sa.String(length=20), nullable=False),
        sa.Column("starts_at", _MOMENT, nullable=False),
        sa.Column("dark_at", _MOMENT, nullable=True),
        sa.Column("opening", sa.String(length=20), nullable=False),
        sa.Column("crew", sa.Text(), nullable=False),
        sa.Column("containers", sa.Text(), nullable=False),
        sa.Column("combustibles", sa.Text(), nullable=False),
        sa.Column("fuel_before_kg", sa.Float(), nullable=True),
        sa.Column("fuel_after_kg", sa.Float(), nullable=True),
        sa.Column("air_c", sa.Float(), nullable=True),
        sa.Column("weather", sa.Text(), nullable=False),
        sa.Column("left_out", sa.Text(), nullable=False),
        sa.Column("planned_at", _MOMENT, nullable=False),
        sa.Column("ended_at", _MOMENT, nullable=True),
        sa.CheckConstraint("stage IN ('planned', 'running', 'ended')", name="ck_outdoor_sessions_stage"),
        sa.CheckConstraint("opening IN ('lift-off', 'front', 'top')", name="ck_outdoor_sessions_opening"),
        sa.ForeignKeyConstraint(["kiln"], ["kilns.name"], name="fk_outdoor_sessions_kiln"),
        sa.PrimaryKeyConstraint("id", name="pk_outdoor_sessions"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_outdoor_sessions_kiln", "outdoor_sessions", ["kiln"])
    op.create_index("ix_outdoor_sessions_stage", "outdoor_sessions", ["stage"])
    op.add_column("firings", sa.Column("session_id", sa.Integer(), nullable=True))
    op.create_index("ix_firings_session_id", "firings", ["session_id"])
    _give_older_firings_a_session()
    op.create_table(
        "taps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=36), nullable=False),
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("did", sa.String(length=20), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("came_at", _MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "did IN ('start', 'at heat', 'pulled', 'closed', 'out', 'result', 'take back')",
            name="ck_taps_did",
        ),
        sa.ForeignKeyConstraint(["session_id"], ["outdoor_sessions.id"], name="fk_taps_session_id"),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_taps_firing_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_taps_piece_id"),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name="fk_taps_by_id"),
        sa.PrimaryKeyConstraint("id", name="pk_taps"),
        sa.UniqueConstraint("key", name="uq_taps_key"),
    )
    op.create_index("ix_taps_session_id", "taps", ["session_id"])
    op.create_table(
        "marks",
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("air", sa.String(length=20), nullable=True),
        sa.Column("smoke", sa.String(length=20), nullable=True),
        sa.Column("open_s", sa.Integer(), nullable=True),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.CheckConstraint("air IN ('more fuel', 'even', 'more air')", name="ck_marks_air"),
        sa.CheckConstraint("smoke IN ('none', 'light', 'heavy')", name="ck_marks_smoke"),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name="fk_marks_firing_id"),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name="fk_marks_piece_id"),
        sa.PrimaryKeyConstraint("firing_id", "piece_id", name="pk_marks"),
    )
    op.create_index("ix_marks_piece_id", "marks", ["piece_id"])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (table, verb, refuses, says) in _RULES.items():
        if sqlite:
            op.execute(
                f"CREATE TRIGGER {name} BEFORE {verb} ON {table} WHEN {refuses} "
                f"BEGIN SELECT RAISE(ABORT, '{says}'); END"
            )
            continue
        keeps = "OLD" if verb == "DELETE" else "NEW"
        body = f"BEGIN IF {refuses} THEN RAISE EXCEPTION '{says}'; END IF; RETURN {keeps}; END"
        op.execute(f"CREATE FUNCTION footring_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ {body} $$")
        op.execute(f"CREATE TRIGGER {name} BEFORE {verb} ON {table} FOR EACH ROW EXECUTE FUNCTION footring_{name}()")


def _give_older_firings_a_session() -> None:
    """Outdoor firings from before there were sessions get one each, of which nobody wrote down more."""
    connection = op.get_bind()
    firings = sa.table(
        "firings", *map(sa.column, ("id", "kiln", "route", "stage", "began_at", "unloaded_at", "session_id"))
    )
    routes = sa.table("routes", sa.column("name"), sa.column("kind"))
    outdoors = sa.select(routes.c.name).where(routes.c.kind.in_(("raku", "horsehair")))
    sessions = sa.table(
        "outdoor_sessions",
        *map(sa.column, ("id", "kiln", "stage", "starts_at", "planned_at", "ended_at", "opening")),
        *map(sa.column, ("crew", "containers", "combustibles", "weather", "left_out")),
    )
    for number, row in enumerate(
        connection.execute(sa.select(firings).where(firings.c.route.in_(outdoors)).order_by(firings.c.id)).all(), 1
    ):
        ended = row.stage == "unloaded"
        connection.execute(
            sa.insert(sessions).values(
                kiln=row.kiln,
                stage="ended" if ended else "running",
                starts_at=row.began_at,
                planned_at=row.began_at,
                ended_at=row.unloaded_at if ended else None,
                opening="lift-off",
                crew='{"pullers": [], "lids": [], "clock": "", "hose": ""}',
                containers="[]",
                combustibles="",
                weather="",
                left_out="[]",
            )
        )
        # The table is new, so the database numbers its rows from 1.
        connection.execute(sa.update(firings).where(firings.c.id == row.id).values(session_id=number))


def downgrade() -> None:
    """Take them away again."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (table, *_) in _RULES.items():
        op.execute(f"DROP TRIGGER {name}" if sqlite else f"DROP TRIGGER {name} ON {table}")
        if not sqlite:
            op.execute(f"DROP FUNCTION footring_{name}()")
    op.drop_table("marks")
    op.drop_table("taps")
    op.drop_index("ix_firings_session_id", "firings")
    op.execute("ALTER TABLE firings DROP COLUMN session_id")
    op.drop_table("outdoor_sessions")
