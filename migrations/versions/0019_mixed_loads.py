"""Mixed loads: a kiln takes pieces of several firing types, each from its own queue or as greenware.

What keeps a glaze out of a kiln that is too hot for it stays: the piece's ceiling is held to the firing's own heat.
That an outdoor glaze stays outdoors was held by the queue, since one queue came into a kiln; now the kiln holds it.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

_WRONG_KILN = "a kiln takes only what its own queue holds, or greenware for a bisque, and only what stands its heat"
_UNFIT = {
    True: "a kiln takes only what a queue holds or greenware, and only what stands its heat",
    False: _WRONG_KILN,
}
_INDEX = "ix_routes_name_takes_outdoor"

_STAYS_FIT = {
    True: """EXISTS (
        SELECT 1 FROM loaded JOIN pieces ON pieces.id = loaded.piece_id JOIN firings ON firings.id = loaded.firing_id
            JOIN routes ON routes.name = firings.route
        WHERE {which} AND (pieces.ceiling < firings.heat OR (pieces.outdoor_only AND NOT routes.takes_outdoor)
            OR CASE WHEN loaded.queue_route IS NULL THEN pieces.stage <> 'greenware' ELSE NOT EXISTS (
                SELECT 1 FROM waiting WHERE piece_id = pieces.id AND waiting.route = loaded.queue_route) END))""",
    False: """EXISTS (
        SELECT 1 FROM loaded JOIN pieces ON pieces.id = loaded.piece_id JOIN firings ON firings.id = loaded.firing_id
        WHERE {which} AND (pieces.ceiling < firings.heat OR (firings.is_bisque AND pieces.stage <> 'greenware')
            OR (NOT firings.is_bisque AND NOT EXISTS (
                SELECT 1 FROM waiting WHERE waiting.piece_id = pieces.id AND waiting.route = firings.route))))""",
}
"""For SQLite, whose foreign keys a hand may have forgotten: whether a piece is unfit for the kiln that it is in."""
_IS_FALSE = {
    True: """NOT EXISTS (
        SELECT 1 FROM pieces, firings, routes WHERE pieces.id = NEW.piece_id AND firings.id = NEW.firing_id
            AND routes.name = firings.route AND pieces.ceiling >= firings.heat AND NEW.heat = firings.heat
            AND NEW.ceiling = pieces.ceiling AND NEW.route = firings.route AND NEW.is_bisque = firings.is_bisque
            AND NEW.outdoor_only = pieces.outdoor_only AND NEW.takes_outdoor = routes.takes_outdoor
            AND (routes.takes_outdoor OR NOT pieces.outdoor_only)
            AND CASE WHEN NEW.queue_route IS NULL THEN pieces.stage = 'greenware' ELSE EXISTS (
                SELECT 1 FROM waiting WHERE piece_id = pieces.id AND waiting.route = NEW.queue_route) END)""",
    False: """NOT EXISTS (
        SELECT 1 FROM pieces, firings WHERE pieces.id = NEW.piece_id AND firings.id = NEW.firing_id
            AND pieces.ceiling >= firings.heat AND NEW.heat = firings.heat AND NEW.ceiling = pieces.ceiling
            AND NEW.route = firings.route AND NEW.is_bisque = firings.is_bisque
            AND CASE WHEN firings.is_bisque THEN pieces.stage = 'greenware' AND NEW.queue_route IS NULL
                ELSE NEW.queue_route = firings.route AND EXISTS (
                    SELECT 1 FROM waiting WHERE waiting.piece_id = pieces.id AND waiting.route = firings.route) END)""",
}
"""The same of a row that is written: whether it says what is not so."""
_RAW = {True: "NEW.queue_route IS NULL", False: "NEW.is_bisque"}
"""For PostgreSQL: which rows say that a piece is greenware."""
_OWN_QUEUE = (
    "(is_bisque AND queue_route IS NULL) OR (NOT is_bisque AND queue_route IS NOT NULL AND queue_route = route)"
)
_COPIES = (
    "UPDATE loaded SET outdoor_only = (SELECT outdoor_only FROM pieces WHERE pieces.id = loaded.piece_id),"
    " takes_outdoor = (SELECT takes_outdoor FROM routes WHERE routes.name = loaded.route)"
)
_OF_OTHERS = f"DELETE FROM loaded WHERE NOT ({_OWN_QUEUE})"


def upgrade() -> None:
    """Let a row in a kiln name its own queue, and hold outdoor glazes there too."""
    op.create_index(_INDEX, "routes", ["name", "takes_outdoor"], unique=True)
    if op.get_bind().dialect.name == "sqlite":
        _made_anew(mixed=True)
        return
    for name in ("outdoor_only", "takes_outdoor"):
        op.execute(f"ALTER TABLE loaded ADD COLUMN {name} BOOLEAN")
    op.execute(_COPIES)
    for name in ("outdoor_only", "takes_outdoor"):
        op.execute(f"ALTER TABLE loaded ALTER COLUMN {name} SET NOT NULL")
    op.drop_constraint(op.f("ck_loaded_from_its_own_queue"), "loaded", type_="check")
    op.drop_constraint("fk_loaded_piece_id_ceiling", "loaded", type_="foreignkey")
    _hold_outdoor_glazes()
    _keep_greenware(mixed=True)


def downgrade() -> None:
    """Hold each kiln to one queue again; what came from another goes back to its own."""
    op.execute(_OF_OTHERS)
    if op.get_bind().dialect.name == "sqlite":
        _made_anew(mixed=False)
    else:
        for key in ("fk_loaded_piece_id_ceiling_outdoor_only", "fk_loaded_route_takes_outdoor"):
            op.drop_constraint(key, "loaded", type_="foreignkey")
        op.drop_constraint(op.f("ck_loaded_outdoor_only_in_raku"), "loaded", type_="check")
        for name in ("outdoor_only", "takes_outdoor"):
            op.drop_column("loaded", name)
        op.create_foreign_key(
            "fk_loaded_piece_id_ceiling",
            "loaded",
            "pieces",
            ["piece_id", "ceiling"],
            ["id", "ceiling"],
            onupdate="CASCADE",
        )
        op.create_check_constraint(op.f("ck_loaded_from_its_own_queue"), "loaded", _OWN_QUEUE)
        _keep_greenware(mixed=False)
    op.drop_index(_INDEX, "routes")


def _hold_outdoor_glazes() -> None:
    op.create_foreign_key(
        "fk_loaded_piece_id_ceiling_outdoor_only",
        "loaded",
        "pieces",
        ["piece_id", "ceiling", "outdoor_only"],
        ["id", "ceiling", "outdoor_only"],
        onupdate="CASCADE",
    )
    op.create_foreign_key(
        "fk_loaded_route_takes_outdoor",
        "loaded",
        "routes",
        ["route", "takes_outdoor"],
        ["name", "takes_outdoor"],
        onupdate="CASCADE",
    )
    op.create_check_constraint(op.f("ck_loaded_outdoor_only_in_raku"), "loaded", "takes_outdoor OR NOT outdoor_only")


def _keep_greenware(*, mixed: bool) -> None:
    body = f"""
        IF {_RAW[mixed]} AND NOT EXISTS (SELECT 1 FROM pieces WHERE id = NEW.piece_id AND stage = 'greenware')
            THEN RAISE EXCEPTION '{_UNFIT[mixed]}'; END IF;
        RETURN NEW;"""
    op.execute(
        f"CREATE OR REPLACE FUNCTION footring_keep_bisque() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$"
    )


def _made_anew(*, mixed: bool) -> None:
    """On SQLite a check is not taken away: the table is made anew and filled again, with every trigger that it had."""
    connection = op.get_bind()
    told = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'loaded'"
    triggers = {name: text for name, text in connection.exec_driver_sql(told) if not name.startswith("loaded_is_true")}
    connection.exec_driver_sql("CREATE TEMPORARY TABLE kept AS SELECT * FROM loaded")
    op.drop_table("loaded")
    _create(mixed=mixed)
    plain = "piece_id, ceiling, firing_id, route, heat, is_bisque, queue_route, at"
    copies = (
        ", (SELECT outdoor_only FROM pieces WHERE id = piece_id), (SELECT takes_outdoor FROM routes WHERE name = route)"
    )
    names = f"{plain}, outdoor_only, takes_outdoor" if mixed else plain
    op.execute(f"INSERT INTO loaded ({names}) SELECT {plain}{copies if mixed else ''} FROM kept")
    op.execute("DROP TABLE kept")
    says = _UNFIT[mixed]
    for verb in ("INSERT", "UPDATE"):
        _trigger(f"loaded_is_true_on_{verb.lower()}", f"BEFORE {verb} ON loaded", _IS_FALSE[mixed], says)
    for text in triggers.values():
        op.execute(text)
    what = "ceiling, outdoor_only, stage" if mixed else "ceiling, stage"
    for name, event, which in (
        ("pieces_stay_fit_for_their_kiln", f"AFTER UPDATE OF {what} ON pieces", "pieces.id = NEW.id"),
        ("firings_stay_fit_for_their_load", "AFTER UPDATE OF heat, route, is_bisque ON firings", "firings.id = NEW.id"),
    ):
        op.execute(f"DROP TRIGGER {name}")
        _trigger(name, event, _STAYS_FIT[mixed].format(which=which), says)


def _trigger(name: str, event: str, refuses: str, says: str) -> None:
    op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{says}'); END")


def _create(*, mixed: bool) -> None:
    of_mixed: list[sa.schema.SchemaItem] = [
        sa.Column("outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("takes_outdoor", sa.Boolean(), nullable=False),
        sa.CheckConstraint("takes_outdoor OR NOT outdoor_only", name=op.f("ck_loaded_outdoor_only_in_raku")),
        sa.ForeignKeyConstraint(
            ["piece_id", "ceiling", "outdoor_only"],
            ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
            name="fk_loaded_piece_id_ceiling_outdoor_only",
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["route", "takes_outdoor"],
            ["routes.name", "routes.takes_outdoor"],
            name="fk_loaded_route_takes_outdoor",
            onupdate="CASCADE",
        ),
    ]
    of_one: list[sa.schema.SchemaItem] = [
        sa.CheckConstraint(_OWN_QUEUE, name=op.f("ck_loaded_from_its_own_queue")),
        sa.ForeignKeyConstraint(
            ["piece_id", "ceiling"],
            ["pieces.id", "pieces.ceiling"],
            name="fk_loaded_piece_id_ceiling",
            onupdate="CASCADE",
        ),
    ]
    op.create_table(
        "loaded",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("heat", sa.Integer(), nullable=False),
        sa.Column("is_bisque", sa.Boolean(), nullable=False),
        sa.Column("queue_route", sa.String(length=40), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("heat <= ceiling", name=op.f("ck_loaded_stands_the_heat")),
        sa.ForeignKeyConstraint(
            ["firing_id", "route", "heat", "is_bisque"],
            ["firings.id", "firings.route", "firings.heat", "firings.is_bisque"],
            name="fk_loaded_firing_id_route_heat_is_bisque",
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["piece_id", "queue_route"],
            ["waiting.piece_id", "waiting.route"],
            name="fk_loaded_piece_id_queue_route",
        ),
        sa.PrimaryKeyConstraint("piece_id", name="pk_loaded"),
        *(of_mixed if mixed else of_one),
    )
    op.create_index("ix_loaded_firing_id", "loaded", ["firing_id"])
