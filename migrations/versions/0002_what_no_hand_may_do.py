"""What no hand may do: history only grows, a code stays, and no statement gets round the heat guard.

The composite foreign keys and checks of 0001 hold the guard on both engines. SQLite asks its foreign keys only where a
connection has switched them on, which a hand at its shell forgets; and its REPLACE takes rows away without a word to
any trigger on DELETE. So there the same is said once more by triggers that read the tables themselves. On PostgreSQL
only what keys cannot say is a trigger.
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_TOO_HOT = "a piece would wait for more heat than it stands, or an outdoor glaze for an indoor kiln"
_WRONG_KILN = "a kiln takes only what its own queue holds, or greenware for a bisque, and only what stands its heat"
_TOO_STRONG = "a piece cannot stand more heat than its clay and its layers"
_WORN = "the layers of a piece that waits for a kiln stay as they are"
_PAST = "history only grows"
_REPLACED = "a row is changed by its name, never replaced or renumbered"
_IN_USE = "something that is in use is not taken away"
_CODE = "a code is given once, for good"

# Each condition is asked of the tables as they are after the change.
_UNFIT_IN_QUEUE = """EXISTS (
    SELECT 1 FROM waiting JOIN pieces ON pieces.id = waiting.piece_id JOIN routes ON routes.name = waiting.route
    WHERE {which} AND (pieces.stage <> 'queued' OR pieces.ceiling < routes.heat
        OR (pieces.outdoor_only AND NOT routes.takes_outdoor)))"""
_UNFIT_IN_KILN = """EXISTS (
    SELECT 1 FROM loaded JOIN pieces ON pieces.id = loaded.piece_id JOIN firings ON firings.id = loaded.firing_id
    WHERE {which} AND (pieces.ceiling < firings.heat OR (firings.is_bisque AND pieces.stage <> 'greenware')
        OR (NOT firings.is_bisque AND NOT EXISTS (
            SELECT 1 FROM waiting WHERE waiting.piece_id = pieces.id AND waiting.route = firings.route))))"""
_FALSE_IN_QUEUE = """NOT EXISTS (
    SELECT 1 FROM pieces, routes WHERE pieces.id = NEW.piece_id AND pieces.stage = 'queued'
        AND routes.name = NEW.route AND pieces.ceiling >= routes.heat AND NEW.heat = routes.heat
        AND NEW.ceiling = pieces.ceiling AND NEW.outdoor_only = pieces.outdoor_only
        AND NEW.takes_outdoor = routes.takes_outdoor AND (routes.takes_outdoor OR NOT pieces.outdoor_only))
    OR EXISTS (SELECT 1 FROM loaded WHERE loaded.piece_id = NEW.piece_id AND loaded.queue_route <> NEW.route)"""
_FALSE_IN_KILN = """NOT EXISTS (
    SELECT 1 FROM pieces, firings WHERE pieces.id = NEW.piece_id AND firings.id = NEW.firing_id
        AND pieces.ceiling >= firings.heat AND NEW.heat = firings.heat AND NEW.ceiling = pieces.ceiling
        AND NEW.route = firings.route AND NEW.is_bisque = firings.is_bisque
        AND CASE WHEN firings.is_bisque THEN pieces.stage = 'greenware' AND NEW.queue_route IS NULL
            ELSE NEW.queue_route = firings.route AND EXISTS (
                SELECT 1 FROM waiting WHERE waiting.piece_id = pieces.id AND waiting.route = firings.route) END)"""
_STRONGER_THAN_MADE = """NOT EXISTS (SELECT 1 FROM clays WHERE clays.id = NEW.clay_id AND clays.ceiling >= NEW.ceiling)
    OR EXISTS (
        SELECT 1 FROM layers LEFT JOIN glazes ON glazes.id = layers.glaze_id WHERE layers.piece_id = NEW.id
        AND (glazes.id IS NULL OR glazes.ceiling < NEW.ceiling OR (glazes.outdoor_only AND NOT NEW.outdoor_only)))"""
_WEAKER_THAN_WORN = """NOT EXISTS (
    SELECT 1 FROM pieces, glazes WHERE pieces.id = NEW.piece_id AND glazes.id = NEW.glaze_id
        AND glazes.ceiling >= pieces.ceiling AND (pieces.outdoor_only OR NOT glazes.outdoor_only)
        AND NEW.piece_ceiling = pieces.ceiling AND NEW.piece_outdoor_only = pieces.outdoor_only
        AND NEW.glaze_ceiling = glazes.ceiling AND NEW.glaze_outdoor_only = glazes.outdoor_only)"""
_WAITS = "EXISTS (SELECT 1 FROM waiting WHERE waiting.piece_id IN ({pieces}))"

_KEYS = {
    "pieces": ("id", "code"),
    "clays": ("id", "name"),
    "glazes": ("id", "name"),
    "layers": ("id",),
    "routes": ("name",),
    "waiting": ("piece_id",),
    "firings": ("id",),
    "loaded": ("piece_id",),
}
"""The columns by which a row of each guarded table is known: a row that takes them over would replace another."""

_USED_BY = {
    "pieces": "OLD.id IN (SELECT piece_id FROM waiting UNION ALL SELECT piece_id FROM loaded)",
    "clays": "EXISTS (SELECT 1 FROM pieces WHERE clay_id = OLD.id)",
    "glazes": "EXISTS (SELECT 1 FROM layers WHERE glaze_id = OLD.id)",
    "routes": "EXISTS (SELECT 1 FROM waiting WHERE route = OLD.name)",
    "waiting": "EXISTS (SELECT 1 FROM loaded WHERE piece_id = OLD.piece_id)",
    "firings": "EXISTS (SELECT 1 FROM loaded WHERE firing_id = OLD.id)",
}
"""When a row of each guarded table is in use, so that it may be neither taken away nor given another number or name."""


def _taken(table: str) -> str:
    return " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})" for key in _KEYS[table])


def _taken_over(table: str) -> str:
    """When an update gives a row a key that another row has, or a new number or name while the row is in use."""
    first, *_ = _KEYS[table]
    renamed = f"(NEW.{first} <> OLD.{first} AND ({_USED_BY.get(table, '1')}))"
    others = (
        f"(NEW.{key} IS NOT OLD.{key} AND EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}))"
        for key in _KEYS[table]
    )
    return " OR ".join((renamed, *others))


_SQLITE = {
    "history_is_not_changed": ("BEFORE UPDATE ON history", "1", _PAST),
    "history_is_not_removed": ("BEFORE DELETE ON history", "1", _PAST),
    "history_is_not_replaced": (
        "BEFORE INSERT ON history",
        "EXISTS (SELECT 1 FROM history WHERE id = NEW.id)",
        _PAST,
    ),
    **{f"{table}_are_not_replaced": (f"BEFORE INSERT ON {table}", _taken(table), _REPLACED) for table in _KEYS},
    **{
        f"{table}_are_not_taken_over": (
            f"BEFORE UPDATE OF {', '.join(keys)} ON {table}",
            _taken_over(table),
            _REPLACED,
        )
        for table, keys in _KEYS.items()
    },
    **{f"{table}_in_use_stay": (f"BEFORE DELETE ON {table}", used, _IN_USE) for table, used in _USED_BY.items()},
    "codes_stay": (
        "BEFORE UPDATE OF code ON pieces",
        "OLD.code IS NOT NULL AND NEW.code IS NOT OLD.code",
        _CODE,
    ),
    **{
        f"{table}_is_true_on_{verb.lower()}": (f"BEFORE {verb} ON {table}", refuses, says)
        for table, refuses, says in (("waiting", _FALSE_IN_QUEUE, _TOO_HOT), ("loaded", _FALSE_IN_KILN, _WRONG_KILN))
        for verb in ("INSERT", "UPDATE")
    },
    "pieces_stay_fit_for_their_queue": (
        "AFTER UPDATE OF ceiling, outdoor_only, stage ON pieces",
        _UNFIT_IN_QUEUE.format(which="pieces.id = NEW.id"),
        _TOO_HOT,
    ),
    "pieces_stay_fit_for_their_kiln": (
        "AFTER UPDATE OF ceiling, stage ON pieces",
        _UNFIT_IN_KILN.format(which="pieces.id = NEW.id"),
        _WRONG_KILN,
    ),
    "routes_stay_fit_for_their_queue": (
        "AFTER UPDATE OF heat, takes_outdoor ON routes",
        _UNFIT_IN_QUEUE.format(which="routes.name = NEW.name"),
        _TOO_HOT,
    ),
    "firings_stay_fit_for_their_load": (
        "AFTER UPDATE OF heat, route, is_bisque ON firings",
        _UNFIT_IN_KILN.format(which="firings.id = NEW.id"),
        _WRONG_KILN,
    ),
    **{
        f"pieces_stand_their_materials_on_{verb.lower()}": (f"AFTER {verb} ON pieces", _STRONGER_THAN_MADE, _TOO_STRONG)
        for verb in ("INSERT", "UPDATE")
    },
    **{
        f"layers_stand_their_piece_on_{verb.lower()}": (f"AFTER {verb} ON layers", _WEAKER_THAN_WORN, _TOO_STRONG)
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
    "worn_layers_are_not_joined": ("BEFORE INSERT ON layers", _WAITS.format(pieces="NEW.piece_id"), _WORN),
    "worn_layers_are_not_removed": ("BEFORE DELETE ON layers", _WAITS.format(pieces="OLD.piece_id"), _WORN),
    "worn_layers_are_not_swapped": (
        "BEFORE UPDATE OF piece_id, glaze_id ON layers",
        (
            "(NEW.piece_id <> OLD.piece_id OR NEW.glaze_id <> OLD.glaze_id)"
            f" AND {_WAITS.format(pieces='OLD.piece_id, NEW.piece_id')}"
        ),
        _WORN,
    ),
}
"""Name of each trigger on SQLite: its event, when it refuses, and its sentence."""

_FUNCTIONS = {
    "footring_refuse_past": f"RAISE EXCEPTION '{_PAST}';",
    "footring_keep_worn": f"""
        IF TG_OP = 'TRUNCATE' THEN
            IF EXISTS (SELECT 1 FROM waiting) THEN RAISE EXCEPTION '{_WORN}'; END IF;
            RETURN NULL;
        END IF;
        IF TG_OP = 'UPDATE' AND NEW.piece_id = OLD.piece_id AND NEW.glaze_id = OLD.glaze_id THEN RETURN NEW; END IF;
        IF TG_OP <> 'INSERT' AND EXISTS (SELECT 1 FROM waiting WHERE piece_id = OLD.piece_id)
            THEN RAISE EXCEPTION '{_WORN}'; END IF;
        IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
        IF EXISTS (SELECT 1 FROM waiting WHERE piece_id = NEW.piece_id) THEN RAISE EXCEPTION '{_WORN}'; END IF;
        RETURN NEW;""",
    "footring_keep_pieces": f"""
        IF OLD.code IS NOT NULL AND NEW.code IS DISTINCT FROM OLD.code THEN RAISE EXCEPTION '{_CODE}'; END IF;
        IF NEW.stage <> OLD.stage AND EXISTS (SELECT 1 FROM loaded WHERE piece_id = NEW.id)
            THEN RAISE EXCEPTION '{_WRONG_KILN}'; END IF;
        RETURN NEW;""",
    "footring_keep_bisque": f"""
        IF NEW.is_bisque AND NOT EXISTS (SELECT 1 FROM pieces WHERE id = NEW.piece_id AND stage = 'greenware')
            THEN RAISE EXCEPTION '{_WRONG_KILN}'; END IF;
        RETURN NEW;""",
}
"""What the triggers on PostgreSQL call."""

_POSTGRESQL = {
    "history_is_not_changed": ("BEFORE UPDATE OR DELETE ON history", "ROW", "footring_refuse_past"),
    "history_is_not_emptied": ("BEFORE TRUNCATE ON history", "STATEMENT", "footring_refuse_past"),
    "worn_layers_stay": ("BEFORE INSERT OR UPDATE OR DELETE ON layers", "ROW", "footring_keep_worn"),
    "worn_layers_are_not_emptied": ("BEFORE TRUNCATE ON layers", "STATEMENT", "footring_keep_worn"),
    "pieces_keep_code_and_kiln": ("BEFORE UPDATE ON pieces", "ROW", "footring_keep_pieces"),
    "loaded_is_true": ("BEFORE INSERT OR UPDATE ON loaded", "ROW", "footring_keep_bisque"),
}
"""Name of each trigger on PostgreSQL: its event, how often it asks, and what it calls."""


def upgrade() -> None:
    """Put the triggers up."""
    if op.get_bind().dialect.name == "sqlite":
        for name, (event, refuses, says) in _SQLITE.items():
            op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{says}'); END")
        return
    for name, body in _FUNCTIONS.items():
        op.execute(f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$")
    for name, (event, often, calls) in _POSTGRESQL.items():
        op.execute(f"CREATE TRIGGER {name} {event} FOR EACH {often} EXECUTE FUNCTION {calls}()")


def downgrade() -> None:
    """Take the triggers down."""
    if op.get_bind().dialect.name == "sqlite":
        for name in _SQLITE:
            op.execute(f"DROP TRIGGER {name}")
        return
    for name, (event, _, _) in _POSTGRESQL.items():
        op.execute(f"DROP TRIGGER {name} ON {event.rpartition(' ')[2]}")
    for name in _FUNCTIONS:
        op.execute(f"DROP FUNCTION {name}()")
