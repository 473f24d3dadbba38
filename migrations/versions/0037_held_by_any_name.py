"""Rows stay whatever name a hand gives their number; a glaze stands its own cones; what must come out, comes out.

SQLite calls the number of a row `rowid`, `oid` and `_rowid_` too, and a trigger that names columns does not fire for
those. What must leave a kiln leaves the list by a person's word on record, or because it is in that kiln's load again.
"""

from __future__ import annotations

from alembic import op

from migrations.checks import change_check

revision = "0037"
down_revision = "0036"
branch_labels = None
depends_on = None

_REPLACED = "a row is changed by its name, never replaced or renumbered"
_IN_USE = "something that is in use is not taken away"
_STILL_IN = "a piece that must come out is still in this kiln"
_KEPT = "what is on record stays as it is"

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
"""The columns by which a row of each guarded table is known."""

_ON_LISTS = "SELECT {0} FROM leaving UNION ALL SELECT {0} FROM caught"
_USED_BEFORE = {
    "pieces": "OLD.id IN (SELECT piece_id FROM waiting UNION ALL SELECT piece_id FROM loaded)",
    "clays": "EXISTS (SELECT 1 FROM pieces WHERE clay_id = OLD.id)",
    "glazes": "EXISTS (SELECT 1 FROM layers WHERE glaze_id = OLD.id)",
    "routes": "EXISTS (SELECT 1 FROM waiting WHERE route = OLD.name)",
    "waiting": "EXISTS (SELECT 1 FROM loaded WHERE piece_id = OLD.piece_id)",
    "firings": "EXISTS (SELECT 1 FROM loaded WHERE firing_id = OLD.id)",
}
_USED = _USED_BEFORE | {
    "pieces": f"{_USED_BEFORE['pieces']} OR OLD.id IN ({_ON_LISTS.format('piece_id')})",
    "firings": f"{_USED_BEFORE['firings']} OR OLD.id IN ({_ON_LISTS.format('firing_id')})",
}
"""When a row of each guarded table is in use, so that it may be neither taken away nor given another number or name."""

_RECORDS = {
    "print_jobs": ("id",),
    "cone_answers": ("id",),
    "firing_corrections": ("id",),
    "taps": ("id", "key"),
    "leaving": ("piece_id",),
}
"""Tables whose rows nobody changes, with what each row is known by."""

_NOT_OUT = """NOT EXISTS (SELECT 1 FROM loaded WHERE piece_id = OLD.piece_id AND firing_id = OLD.firing_id)
    AND NOT EXISTS (SELECT 1 FROM history WHERE piece_id = OLD.piece_id AND firing_id = OLD.firing_id
        AND step = 'take out' AND at >= OLD.since)"""

_ORDER = "cone_low <= ceiling"
_OWN_CONES = (
    f"{_ORDER} AND cone_high IS NOT NULL AND (ceiling = cone_high OR coat IN ('underglaze', 'slip', 'sigillata'))"
)
_TOO_STRONG = "ceiling > cone_high AND coat NOT IN ('underglaze', 'slip', 'sigillata')"


def _taken_over(table: str, used: dict[str, str]) -> str:
    """When an update gives a row a key that another row has, or a new number or name while the row is in use."""
    first, *_ = _KEYS[table]
    renamed = f"(NEW.{first} <> OLD.{first} AND ({used.get(table, '1')}))"
    others = (
        f"(NEW.{key} IS NOT OLD.{key} AND EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}))"
        for key in _KEYS[table]
    )
    return " OR ".join((renamed, *others))


def _on_sqlite(*, after: bool) -> dict[str, tuple[str, str, str]]:
    """The triggers there after this step or before it: name, event, when they refuse, and their sentence."""
    used, found = (_USED if after else _USED_BEFORE), {}
    for table, keys in _KEYS.items():
        of = "" if after else f" OF {', '.join(keys)}"
        refuses = _taken_over(table, used)
        if after:
            refuses += f" OR (NEW.rowid <> OLD.rowid AND EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid))"
        found[f"{table}_are_not_taken_over"] = (f"BEFORE UPDATE{of} ON {table}", refuses, _REPLACED)
        taken = " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})" for key in keys)
        if after:
            taken += f" OR EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid)"
        found[f"{table}_are_not_replaced"] = (f"BEFORE INSERT ON {table}", taken, _REPLACED)
    for table in ("pieces", "firings"):
        found[f"{table}_in_use_stay"] = (f"BEFORE DELETE ON {table}", used[table], _IN_USE)
    return found


def _new_on_sqlite() -> dict[str, tuple[str, str, str]]:
    found = {
        f"{table}_are_not_replaced": (
            f"BEFORE INSERT ON {table}",
            " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})" for key in keys),
            _KEPT,
        )
        for table, keys in _RECORDS.items()
    }
    found["leaving_until_it_is_out"] = ("BEFORE DELETE ON leaving", _NOT_OUT, _STILL_IN)
    found["leaving_is_not_changed"] = ("BEFORE UPDATE ON leaving", "1", _STILL_IN)
    return found


_ON_POSTGRESQL = {
    "leaving_until_it_is_out": (
        "BEFORE DELETE ON leaving FOR EACH ROW",
        f"IF {_NOT_OUT} THEN RAISE EXCEPTION '{_STILL_IN}'; END IF; RETURN OLD;",
    ),
    "leaving_is_not_changed": (
        "BEFORE UPDATE ON leaving FOR EACH ROW",
        f"RAISE EXCEPTION '{_STILL_IN}';",
    ),
    "leaving_is_not_emptied": (
        "BEFORE TRUNCATE ON leaving FOR EACH STATEMENT",
        f"IF EXISTS (SELECT 1 FROM leaving) THEN RAISE EXCEPTION '{_STILL_IN}'; END IF; RETURN NULL;",
    ),
}
"""Name of each trigger on PostgreSQL, whose keys see to the rest: its event, and what its function does."""


def upgrade() -> None:
    """Hold the rows by any name, and glazes to their cones; one that a hand raised stands what its cones say again."""
    op.execute(
        f"""UPDATE pieces SET ceiling = (
                SELECT min(cone_high) FROM glazes JOIN layers ON layers.glaze_id = glazes.id
                WHERE layers.piece_id = pieces.id AND {_TOO_STRONG})
            WHERE ceiling > (
                SELECT min(cone_high) FROM glazes JOIN layers ON layers.glaze_id = glazes.id
                WHERE layers.piece_id = pieces.id AND {_TOO_STRONG})"""
    )
    op.execute(f"UPDATE glazes SET ceiling = cone_high WHERE {_TOO_STRONG}")
    change_check("glazes", "ck_glazes_cones_in_order", _ORDER, _OWN_CONES)
    if op.get_bind().dialect.name == "sqlite":
        for name, what in _on_sqlite(after=True).items():
            op.execute(f"DROP TRIGGER {name}")
            _create(name, *what)
        for name, what in _new_on_sqlite().items():
            _create(name, *what)
        return
    for name, (event, body) in _ON_POSTGRESQL.items():
        op.execute(f"CREATE FUNCTION footring_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$")
        op.execute(f"CREATE TRIGGER {name} {event} EXECUTE FUNCTION footring_{name}()")


def downgrade() -> None:
    """Hold them as before."""
    change_check("glazes", "ck_glazes_cones_in_order", _OWN_CONES, _ORDER)
    if op.get_bind().dialect.name == "sqlite":
        for name in _new_on_sqlite():
            op.execute(f"DROP TRIGGER {name}")
        for name, what in _on_sqlite(after=False).items():
            op.execute(f"DROP TRIGGER {name}")
            _create(name, *what)
        return
    for name in _ON_POSTGRESQL:
        op.execute(f"DROP TRIGGER {name} ON leaving")
        op.execute(f"DROP FUNCTION footring_{name}()")


def _create(name: str, event: str, refuses: str, says: str) -> None:
    op.execute(f"CREATE TRIGGER {name} {event} WHEN {refuses} BEGIN SELECT RAISE(ABORT, '{says}'); END")
