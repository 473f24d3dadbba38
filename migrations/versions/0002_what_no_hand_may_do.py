"""What no hand may do: history only grows, and no statement gets round the heat guard.

The composite foreign keys and checks of 0001 hold the guard on both engines. SQLite asks its foreign keys only where a
connection has switched them on, which a hand at its shell forgets; so there the same is said once more by triggers
that read the tables themselves. On PostgreSQL only what keys cannot say is a trigger.
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_TOO_HOT = "a piece would wait for more heat than it stands, or an outdoor glaze for an indoor kiln"
_TOO_STRONG = "a piece cannot stand more heat than its clay and its layers"
_WORN = "the layers of a piece that waits for a kiln stay as they are"
_PAST = "history only grows"

_SQLITE = {
    "history_is_not_changed": ("BEFORE UPDATE ON history", "1", _PAST),
    "history_is_not_removed": ("BEFORE DELETE ON history", "1", _PAST),
    "history_is_not_replaced": (
        "BEFORE INSERT ON history",
        "EXISTS (SELECT 1 FROM history WHERE id = NEW.id)",
        _PAST,
    ),
    **{
        f"waiting_is_true_on_{verb.lower()}": (
            f"BEFORE {verb} ON waiting",
            (
                "NOT EXISTS (SELECT 1 FROM pieces, routes WHERE pieces.id = NEW.piece_id AND pieces.stage = 'queued'"
                " AND routes.name = NEW.route AND pieces.ceiling >= routes.heat AND NEW.heat = routes.heat"
                " AND NEW.ceiling = pieces.ceiling AND NEW.outdoor_only = pieces.outdoor_only"
                " AND NEW.takes_outdoor = routes.takes_outdoor AND (routes.takes_outdoor OR NOT pieces.outdoor_only))"
            ),
            _TOO_HOT,
        )
        for verb in ("INSERT", "UPDATE")
    },
    "pieces_stay_fit_for_their_queue": (
        "AFTER UPDATE OF id, ceiling, outdoor_only, stage ON pieces",
        (
            "EXISTS (SELECT 1 FROM waiting JOIN routes ON routes.name = waiting.route"
            " WHERE waiting.piece_id IN (OLD.id, NEW.id)"
            " AND (NEW.id <> OLD.id OR NEW.stage <> 'queued' OR NEW.ceiling < routes.heat"
            " OR (NEW.outdoor_only AND NOT routes.takes_outdoor)))"
        ),
        _TOO_HOT,
    ),
    "routes_stay_fit_for_their_queue": (
        "AFTER UPDATE OF name, heat, takes_outdoor ON routes",
        (
            "EXISTS (SELECT 1 FROM waiting JOIN pieces ON pieces.id = waiting.piece_id"
            " WHERE waiting.route IN (OLD.name, NEW.name)"
            " AND (pieces.ceiling < NEW.heat OR (pieces.outdoor_only AND NOT NEW.takes_outdoor)))"
        ),
        _TOO_HOT,
    ),
    **{
        f"pieces_stand_their_materials_on_{verb.lower()}": (
            f"AFTER {event} ON pieces",
            (
                "EXISTS (SELECT 1 FROM clays WHERE clays.id = NEW.clay_id AND clays.ceiling < NEW.ceiling)"
                " OR EXISTS (SELECT 1 FROM layers JOIN glazes ON glazes.id = layers.glaze_id"
                " WHERE layers.piece_id = NEW.id"
                " AND (glazes.ceiling < NEW.ceiling OR (glazes.outdoor_only AND NOT NEW.outdoor_only)))"
            ),
            _TOO_STRONG,
        )
        for verb, event in (("INSERT", "INSERT"), ("UPDATE", "UPDATE OF ceiling, outdoor_only, clay_id"))
    },
    **{
        f"layers_stand_their_piece_on_{verb.lower()}": (
            f"AFTER {verb} ON layers",
            (
                "EXISTS (SELECT 1 FROM pieces, glazes WHERE pieces.id = NEW.piece_id AND glazes.id = NEW.glaze_id"
                " AND (glazes.ceiling < pieces.ceiling OR (glazes.outdoor_only AND NOT pieces.outdoor_only)))"
            ),
            _TOO_STRONG,
        )
        for verb in ("INSERT", "UPDATE")
    },
    "glazes_stay_as_strong_as_what_wears_them": (
        "AFTER UPDATE OF ceiling, outdoor_only ON glazes",
        (
            "EXISTS (SELECT 1 FROM layers JOIN pieces ON pieces.id = layers.piece_id WHERE layers.glaze_id = NEW.id"
            " AND (pieces.ceiling > NEW.ceiling OR (NEW.outdoor_only AND NOT pieces.outdoor_only)))"
        ),
        _TOO_STRONG,
    ),
    "clays_stay_as_strong_as_their_pieces": (
        "AFTER UPDATE OF ceiling ON clays",
        "EXISTS (SELECT 1 FROM pieces WHERE pieces.clay_id = NEW.id AND pieces.ceiling > NEW.ceiling)",
        _TOO_STRONG,
    ),
    "worn_layers_are_not_removed": (
        "BEFORE DELETE ON layers",
        "EXISTS (SELECT 1 FROM waiting WHERE piece_id = OLD.piece_id)",
        _WORN,
    ),
    "worn_layers_are_not_swapped": (
        "BEFORE UPDATE OF piece_id, glaze_id ON layers",
        (
            "(NEW.piece_id <> OLD.piece_id OR NEW.glaze_id <> OLD.glaze_id)"
            " AND EXISTS (SELECT 1 FROM waiting WHERE piece_id IN (OLD.piece_id, NEW.piece_id))"
        ),
        _WORN,
    ),
}
"""Name of each trigger on SQLite: its event, when it refuses, and its sentence."""

_POSTGRESQL = (
    f"""CREATE FUNCTION footring_refuse_past() RETURNS trigger LANGUAGE plpgsql AS
        $$ BEGIN RAISE EXCEPTION '{_PAST}'; END $$""",
    f"""CREATE FUNCTION footring_refuse_worn() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
        IF TG_OP = 'UPDATE' AND NEW.piece_id = OLD.piece_id AND NEW.glaze_id = OLD.glaze_id THEN RETURN NEW; END IF;
        IF EXISTS (SELECT 1 FROM waiting WHERE piece_id = OLD.piece_id) THEN RAISE EXCEPTION '{_WORN}'; END IF;
        IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$""",  # noqa: S608 -- only this file's own words go in
    """CREATE TRIGGER history_is_not_changed BEFORE UPDATE OR DELETE ON history
        FOR EACH ROW EXECUTE FUNCTION footring_refuse_past()""",
    """CREATE TRIGGER history_is_not_emptied BEFORE TRUNCATE ON history
        FOR EACH STATEMENT EXECUTE FUNCTION footring_refuse_past()""",
    """CREATE TRIGGER worn_layers_stay BEFORE UPDATE OR DELETE ON layers
        FOR EACH ROW EXECUTE FUNCTION footring_refuse_worn()""",
)


def upgrade() -> None:
    """Put the triggers up."""
    if op.get_bind().dialect.name == "sqlite":
        for name, (event, refuses, says) in _SQLITE.items():
            op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{says}'); END")
    else:
        for statement in _POSTGRESQL:
            op.execute(statement)


def downgrade() -> None:
    """Take the triggers down."""
    if op.get_bind().dialect.name == "sqlite":
        for name in _SQLITE:
            op.execute(f"DROP TRIGGER {name}")
        return
    op.execute("DROP TRIGGER worn_layers_stay ON layers")
    op.execute("DROP TRIGGER history_is_not_emptied ON history")
    op.execute("DROP TRIGGER history_is_not_changed ON history")
    op.execute("DROP FUNCTION footring_refuse_worn()")
    op.execute("DROP FUNCTION footring_refuse_past()")
