"""Ways round the heat guard by hand-written SQL, by what they change; and what may be done.

Pieces and firings are those of test_heat_guard.py, by their numbers.
"""

from __future__ import annotations

from tracker.store.tables import metadata

WAITS_MID, WAITS_RAKU, WAITS_LOW, LOW, OUTDOOR, LOADED, RAW, BARE, HIGH, FREE_RAW = range(1, 11)
"""The pieces: three wait, two wear glaze, one stands in a kiln and one in a bisque, one is bare, two more."""

LOW_FIRING, HIGH_FIRING, BISQUE_FIRING, HOT_FIRING, RAKU_FIRING = range(1, 6)
"""The firings: low-fire with a piece in it, high-fire, bisque with a piece in it, low-fire to cone 6, and raku."""


def to_wait(piece: int, ceiling: object, route: str, heat: object, **more: str) -> str:
    """The statement that puts a piece into a queue, with whatever it claims."""
    claims = {"stage": "'queued'", "outdoor_only": "FALSE", "takes_outdoor": "FALSE"} | more
    return (
        "INSERT INTO waiting (piece_id, ceiling, route, heat, since, accepted, stage, outdoor_only, takes_outdoor) "
        f"VALUES ({piece}, {ceiling}, {route}, {heat}, '2026-03-03 12:00:00', '[]', "
        f"{claims['stage']}, {claims['outdoor_only']}, {claims['takes_outdoor']})"
    )


def to_load(
    piece: int, ceiling: object, firing: int, route: str, heat: object, queue: str, bisque: str, **more: str
) -> str:
    """The statement that puts a piece into a kiln, with whatever it claims."""
    claims = {"outdoor_only": "FALSE", "takes_outdoor": "FALSE"} | more
    return (
        "INSERT INTO loaded (piece_id, ceiling, firing_id, route, heat, queue_route, is_bisque, at, "
        "outdoor_only, takes_outdoor) "
        f"VALUES ({piece}, {ceiling}, {firing}, {route}, {heat}, {queue}, {bisque}, '2026-03-03 12:00:00', "
        f"{claims['outdoor_only']}, {claims['takes_outdoor']})"
    )


def to_wear(piece: int, piece_ceiling: object, glaze: str, glaze_ceiling: object, number: str = "NULL") -> str:
    """The statement that puts a layer on a piece, with whatever it claims; `number` is for a row to be replaced."""
    columns = "piece_id, piece_ceiling, piece_outdoor_only, glaze_id, glaze_ceiling, glaze_outdoor_only, zone"
    values = f"{piece}, {piece_ceiling}, FALSE, {id_of('glazes', glaze)}, {glaze_ceiling}, FALSE, 'lip'"
    if number == "NULL":
        return f"INSERT INTO layers ({columns}) VALUES ({values})"
    return f"INSERT INTO layers (id, {columns}) VALUES ({number}, {values})"


def id_of(table: str, name: str) -> str:
    """The expression for the number of a named clay or glaze."""
    return f"(SELECT id FROM {table} WHERE name = '{name}')"


def replaced(table: str, where: str, **changes: str) -> str:
    """SQLite's statement that replaces a row by itself with `changes`."""
    columns = [column.name for column in metadata.tables[table].columns]
    values = ", ".join(changes.get(name, f'"{name}"') for name in columns)
    names = ", ".join(f'"{name}"' for name in columns)
    return f"INSERT OR REPLACE INTO {table} ({names}) SELECT {values} FROM {table} WHERE {where}"


def queue_up(piece: int) -> str:
    """The statement that calls a piece queued."""
    return f"UPDATE pieces SET stage = 'queued' WHERE id = {piece}"


LAYER = f"(SELECT id FROM layers WHERE piece_id = {WAITS_LOW})"
HOT = 100  # the rank of cone 10

WAYS_IN = {
    "a false ceiling": [queue_up(LOW), to_wait(LOW, HOT, "'high-fire'", HOT)],
    "the true ceiling, too low": [queue_up(LOW), to_wait(LOW, -40, "'high-fire'", HOT)],
    "another heat than the route's": [queue_up(LOW), to_wait(LOW, -40, "'high-fire'", -40)],
    "no heat at all": [queue_up(LOW), to_wait(LOW, -40, "'high-fire'", "NULL")],
    "no ceiling at all": [queue_up(LOW), to_wait(LOW, "NULL", "'high-fire'", HOT)],
    "no route at all": [queue_up(LOW), to_wait(LOW, -40, "NULL", -40)],
    "no word on whether it is outdoor": [
        queue_up(OUTDOOR),
        to_wait(OUTDOOR, -60, "'bisque'", -60, outdoor_only="NULL"),
    ],
    "no word on what the route takes": [
        queue_up(OUTDOOR),
        to_wait(OUTDOOR, -60, "'bisque'", -60, outdoor_only="TRUE", takes_outdoor="NULL"),
    ],
    "an outdoor glaze for an indoor kiln": [
        queue_up(OUTDOOR),
        to_wait(OUTDOOR, -60, "'bisque'", -60, outdoor_only="TRUE"),
    ],
    "an outdoor glaze that calls itself indoor": [queue_up(OUTDOOR), to_wait(OUTDOOR, -60, "'bisque'", -60)],
    "an indoor route that calls itself outdoor": [
        queue_up(OUTDOOR),
        to_wait(OUTDOOR, -60, "'bisque'", -60, outdoor_only="TRUE", takes_outdoor="TRUE"),
    ],
    "a route that there is not": [queue_up(LOW), to_wait(LOW, -40, "'tea light'", -40)],
    "a piece that there is not": [to_wait(99, -40, "'low-fire'", -40)],
    "a piece that is not queued": [to_wait(LOW, -40, "'low-fire'", -40)],
    "a piece that calls itself glazed there": [to_wait(LOW, -40, "'low-fire'", -40, stage="'glazed'")],
    "an upsert": [
        to_wait(WAITS_LOW, -40, "'low-fire'", -40)
        + " ON CONFLICT (piece_id) DO UPDATE SET route = 'high-fire', heat = 100, ceiling = 100"
    ],
}
CHANGES_IN_THE_QUEUE = {
    "another route": [f"UPDATE waiting SET route = 'high-fire' WHERE piece_id = {WAITS_LOW}"],
    "another route and its heat": [f"UPDATE waiting SET route = 'high-fire', heat = 100 WHERE piece_id = {WAITS_LOW}"],
    "another route, heat and ceiling": [
        f"UPDATE waiting SET route = 'high-fire', heat = 100, ceiling = 100 WHERE piece_id = {WAITS_LOW}"
    ],
    "another heat": [f"UPDATE waiting SET heat = -60 WHERE piece_id = {WAITS_LOW}"],
    "another ceiling": [f"UPDATE waiting SET ceiling = 100 WHERE piece_id = {WAITS_LOW}"],
    "heat forgotten": [f"UPDATE waiting SET heat = NULL WHERE piece_id = {WAITS_LOW}"],
    "ceiling forgotten": [f"UPDATE waiting SET ceiling = NULL WHERE piece_id = {WAITS_LOW}"],
    "an outdoor glaze sent indoors": [
        f"UPDATE waiting SET route = 'bisque', takes_outdoor = FALSE WHERE piece_id = {WAITS_RAKU}"
    ],
    "an outdoor glaze called indoor": [f"UPDATE waiting SET outdoor_only = FALSE WHERE piece_id = {WAITS_RAKU}"],
    "an outdoor route called indoor": [f"UPDATE waiting SET takes_outdoor = FALSE WHERE piece_id = {WAITS_RAKU}"],
    "another piece in its place": [f"UPDATE waiting SET piece_id = {LOW} WHERE piece_id = {WAITS_MID}"],
    "the stage there": [f"UPDATE waiting SET stage = 'glazed' WHERE piece_id = {WAITS_LOW}"],
    "another queue while in the kiln": [
        f"UPDATE waiting SET route = 'raku', heat = -60, takes_outdoor = TRUE WHERE piece_id = {LOADED}"
    ],
    "out of the queue while in the kiln": [f"DELETE FROM waiting WHERE piece_id = {LOADED}"],
}
CHANGES_OF_ROUTES = {
    "a hotter low-fire": ["UPDATE routes SET heat = 100 WHERE name = 'low-fire'"],
    "a hotter raku": ["UPDATE routes SET heat = 60 WHERE name = 'raku'"],
    "raku that takes no outdoor glaze": ["UPDATE routes SET takes_outdoor = FALSE WHERE name = 'raku'"],
    "raku made a shelf firing": ["UPDATE routes SET kind = 'shelf', takes_outdoor = FALSE WHERE name = 'raku'"],
    "a hotter low-fire by another name": ["UPDATE routes SET name = 'lower', heat = 100 WHERE name = 'low-fire'"],
    "two routes that swap names": [
        "UPDATE routes SET name = 'swap' WHERE name = 'low-fire'",
        "UPDATE routes SET name = 'low-fire' WHERE name = 'high-fire'",
    ],
    "a route taken away and brought back hotter": [
        "DELETE FROM kiln_routes WHERE route = 'raku'",
        "DELETE FROM routes WHERE name = 'raku'",
        "INSERT INTO routes VALUES ('raku', 'Raku', 'raku', 100, TRUE, FALSE)",
    ],
    "a route that forgets its heat": ["UPDATE routes SET heat = NULL WHERE name = 'low-fire'"],
}
CHANGES_OF_PIECES = {
    "a ceiling above its layers": [f"UPDATE pieces SET ceiling = 100 WHERE id = {WAITS_LOW}"],
    "a ceiling above its layers, then the queue": [
        f"UPDATE pieces SET ceiling = 100, stage = 'queued' WHERE id = {LOW}",
        to_wait(LOW, HOT, "'high-fire'", HOT),
    ],
    "a ceiling above its clay": [f"UPDATE pieces SET ceiling = 100 WHERE id = {BARE}"],
    "a ceiling above its clay, with the clay's copy": [
        f"UPDATE pieces SET ceiling = 100, clay_ceiling = 100 WHERE id = {BARE}"
    ],
    "a weaker clay": [f"UPDATE pieces SET clay_id = {id_of('clays', 'Roof Tile Red')} WHERE id = {WAITS_MID}"],
    "a ceiling below its queue": [f"UPDATE pieces SET ceiling = -220 WHERE id = {WAITS_LOW}"],
    "a ceiling below its kiln": [f"UPDATE pieces SET ceiling = -220 WHERE id = {LOADED}"],
    "a ceiling below its bisque": [f"UPDATE pieces SET ceiling = -220 WHERE id = {RAW}"],
    "an outdoor glaze hidden": [f"UPDATE pieces SET outdoor_only = FALSE WHERE id = {WAITS_RAKU}"],
    "an outdoor glaze hidden, then the queue": [
        f"UPDATE pieces SET outdoor_only = FALSE, stage = 'queued' WHERE id = {OUTDOOR}",
        to_wait(OUTDOOR, -60, "'bisque'", -60),
    ],
    "called outdoor while it waits indoors": [f"UPDATE pieces SET outdoor_only = TRUE WHERE id = {WAITS_MID}"],
    "the stage while it waits": [f"UPDATE pieces SET stage = 'glazed' WHERE id = {WAITS_LOW}"],
    "the stage while it stands in a bisque": [f"UPDATE pieces SET stage = 'lost' WHERE id = {RAW}"],
    "another number": [f"UPDATE pieces SET id = 99 WHERE id = {WAITS_LOW}"],
    "taken away while it waits": [f"DELETE FROM pieces WHERE id = {WAITS_LOW}"],
    "no ceiling": [f"UPDATE pieces SET ceiling = NULL WHERE id = {WAITS_LOW}"],
}
CHANGES_OF_MATERIALS = {
    "a glaze that stands less": [
        "UPDATE glazes SET cone_low = -220, cone_high = -220, ceiling = -220 WHERE name = 'Plum Gloss'"
    ],
    "a glaze that stands more than its cones say": ["UPDATE glazes SET ceiling = 140 WHERE name = 'Plum Gloss'"],
    "a glaze without a top cone": ["UPDATE glazes SET cone_high = NULL, ceiling = 140 WHERE name = 'Wet Slate'"],
    "a clay that stands less": [
        "UPDATE clays SET cone_low = -220, cone_high = -220, ceiling = -220 WHERE name = 'Doorstep Buff'"
    ],
    "a glaze that turns outdoor": [
        "UPDATE glazes SET family = 'outdoor', outdoor_only = TRUE WHERE name = 'Plum Gloss'"
    ],
    "a glaze that turns outdoor without its family": [
        "UPDATE glazes SET outdoor_only = TRUE WHERE name = 'Plum Gloss'"
    ],
    "a family that turns outdoor without its mark": ["UPDATE glazes SET family = 'outdoor' WHERE name = 'Plum Gloss'"],
    "an outdoor glaze that hides": [
        "UPDATE glazes SET outdoor_only = FALSE WHERE name = 'Ember Luster'",
    ],
    "a worn glaze with another number": ["UPDATE glazes SET id = 99 WHERE name = 'Plum Gloss'"],
    "a worn glaze taken away": ["DELETE FROM glazes WHERE name = 'Plum Gloss'"],
    "a clay in use taken away": ["DELETE FROM clays WHERE name = 'Doorstep Buff'"],
}
CHANGES_OF_LAYERS = {
    "taken off while it waits": [f"DELETE FROM layers WHERE piece_id = {WAITS_LOW}"],
    "swapped for one that stands more": [
        f"UPDATE layers SET glaze_id = {id_of('glazes', 'Iron Gate')}, glaze_ceiling = 100 WHERE piece_id = {WAITS_LOW}"
    ],
    "a false ceiling": [f"UPDATE layers SET glaze_ceiling = 100 WHERE piece_id = {WAITS_LOW}"],
    "a false piece": [f"UPDATE layers SET piece_ceiling = -100 WHERE piece_id = {WAITS_LOW}"],
    "moved to another piece": [f"UPDATE layers SET piece_id = {LOW} WHERE piece_id = {WAITS_LOW}"],
    "moved from another piece": [
        f"UPDATE layers SET piece_id = {WAITS_LOW}, piece_ceiling = -40 WHERE piece_id = {LOW}"
    ],
    "one more that stands less, honestly": [to_wear(WAITS_MID, 60, "Plum Gloss", -40)],
    "one more that stands less, with a false piece": [to_wear(WAITS_MID, -40, "Plum Gloss", -40)],
    "one more that stands less, with a false glaze": [to_wear(WAITS_MID, 60, "Plum Gloss", 60)],
    "one more that stands more": [to_wear(WAITS_LOW, -40, "Iron Gate", 100)],
    "one that stands less than its glazed piece, honestly": [to_wear(HIGH, 100, "Plum Gloss", -40)],
    "one that stands less, on a piece that says so falsely": [to_wear(HIGH, -40, "Plum Gloss", -40)],
    "one that claims to stand more": [to_wear(HIGH, 100, "Plum Gloss", 100)],
    "one without a ceiling": [to_wear(HIGH, 100, "Plum Gloss", "NULL")],
    "one whose piece has no ceiling": [to_wear(HIGH, "NULL", "Plum Gloss", -40)],
    "one of no glaze": [to_wear(HIGH, 100, "Nothing at all", 100)],
    "an outdoor one on an indoor piece": [to_wear(HIGH, 100, "Ember Luster", -60)],
}
CHANGES_AT_THE_KILN = {
    "from another queue, honestly": [to_load(WAITS_LOW, -40, HIGH_FIRING, "'high-fire'", 100, "'low-fire'", "FALSE")],
    "from a queue it is not in": [to_load(WAITS_LOW, -40, HIGH_FIRING, "'high-fire'", 100, "'high-fire'", "FALSE")],
    "from no queue": [to_load(WAITS_LOW, -40, HIGH_FIRING, "'high-fire'", 100, "NULL", "FALSE")],
    "out of a queue as if it were greenware": [to_load(WAITS_LOW, -40, LOW_FIRING, "'low-fire'", -40, "NULL", "FALSE")],
    "greenware from a queue it is not in": [
        to_load(FREE_RAW, -40, LOW_FIRING, "'low-fire'", -40, "'low-fire'", "FALSE")
    ],
    "greenware into a kiln that is too hot for it": [
        to_load(FREE_RAW, -40, HIGH_FIRING, "'high-fire'", 100, "NULL", "FALSE")
    ],
    "an outdoor glaze into an indoor kiln, honestly": [
        to_load(WAITS_RAKU, -60, BISQUE_FIRING, "'bisque'", -60, "'raku'", "TRUE", outdoor_only="TRUE")
    ],
    "an outdoor glaze into an indoor kiln, as if it were none": [
        to_load(WAITS_RAKU, -60, BISQUE_FIRING, "'bisque'", -60, "'raku'", "TRUE")
    ],
    "an outdoor glaze into an indoor kiln, as if that were outdoors": [
        to_load(
            WAITS_RAKU, -60, BISQUE_FIRING, "'bisque'", -60, "'raku'", "TRUE", outdoor_only="TRUE", takes_outdoor="TRUE"
        )
    ],
    "a glaze firing that calls itself bisque": [
        to_load(WAITS_LOW, -40, HIGH_FIRING, "'high-fire'", 100, "NULL", "TRUE")
    ],
    "a false ceiling": [to_load(WAITS_LOW, 100, HOT_FIRING, "'low-fire'", 60, "'low-fire'", "FALSE")],
    "too hot a firing, honestly": [to_load(WAITS_LOW, -40, HOT_FIRING, "'low-fire'", 60, "'low-fire'", "FALSE")],
    "too hot a firing that claims to be cool": [
        to_load(WAITS_LOW, -40, HOT_FIRING, "'low-fire'", -40, "'low-fire'", "FALSE")
    ],
    "an outdoor glaze into the bisque": [to_load(WAITS_RAKU, -60, BISQUE_FIRING, "'bisque'", -60, "NULL", "TRUE")],
    "bare ware into the bisque": [to_load(BARE, -40, BISQUE_FIRING, "'bisque'", -60, "NULL", "TRUE")],
    "no ceiling": [to_load(WAITS_LOW, "NULL", LOW_FIRING, "'low-fire'", -40, "'low-fire'", "FALSE")],
    "no heat": [to_load(WAITS_LOW, -40, LOW_FIRING, "'low-fire'", "NULL", "'low-fire'", "FALSE")],
    "a hotter firing under its load": [f"UPDATE firings SET heat = 100 WHERE id = {LOW_FIRING}"],
    "a hotter bisque under its load": [f"UPDATE firings SET heat = 100 WHERE id = {BISQUE_FIRING}"],
    "a firing that changes its route": [f"UPDATE firings SET route = 'raku' WHERE id = {LOW_FIRING}"],
    "a loaded firing taken away": [f"DELETE FROM firings WHERE id = {LOW_FIRING}"],
    "moved to another firing": [f"UPDATE loaded SET firing_id = {HIGH_FIRING} WHERE piece_id = {LOADED}"],
    "moved to another firing, with all it claims": [
        f"UPDATE loaded SET firing_id = {HIGH_FIRING}, route = 'high-fire', heat = 100 WHERE piece_id = {LOADED}"
    ],
    "another heat there": [f"UPDATE loaded SET heat = -60 WHERE piece_id = {LOADED}"],
    "another piece there": [f"UPDATE loaded SET piece_id = {HIGH} WHERE piece_id = {LOADED}"],
}
BY_REPLACE = {
    "a place in the queue": [
        replaced("waiting", f"piece_id = {WAITS_LOW}", route="'high-fire'", heat="100", ceiling="100")
    ],
    "the place of a loaded piece": [
        replaced("waiting", f"piece_id = {LOADED}", route="'raku'", heat="-60", takes_outdoor="TRUE")
    ],
    "a hotter route": [replaced("routes", "name = 'low-fire'", heat="100")],
    "raku made a shelf": [replaced("routes", "name = 'raku'", kind="'shelf'", takes_outdoor="FALSE")],
    "a piece that claims more": [replaced("pieces", f"id = {WAITS_LOW}", ceiling="100")],
    "a piece that stands less": [replaced("pieces", f"id = {WAITS_LOW}", ceiling="-220")],
    "a piece of another stage": [replaced("pieces", f"id = {WAITS_LOW}", stage="'glazed'")],
    "a piece by its code": [replaced("pieces", f"id = {WAITS_LOW}", id="99", ceiling="-220")],
    "a piece that takes another's code": [
        f"UPDATE OR REPLACE pieces SET code = (SELECT code FROM pieces WHERE id = {WAITS_LOW}) WHERE id = {FREE_RAW}"
    ],
    "a glaze that stands less": [
        replaced("glazes", "name = 'Plum Gloss'", ceiling="-220", cone_high="-220", cone_low="-220")
    ],
    "a glaze by its name": [replaced("glazes", "name = 'Plum Gloss'", id="99", ceiling="100")],
    "a glaze that takes another's number": [
        f"UPDATE OR REPLACE glazes SET id = {id_of('glazes', 'Plum Gloss')} WHERE name = 'Iron Gate'"
    ],
    "a glaze that takes another's name": ["UPDATE OR REPLACE glazes SET name = 'Plum Gloss' WHERE name = 'Wet Slate'"],
    "a clay that stands less": [
        replaced("clays", "name = 'Doorstep Buff'", cone_low="-220", cone_high="-220", ceiling="-220")
    ],
    "a layer that stands more": [
        to_wear(WAITS_LOW, -40, "Iron Gate", 100, LAYER).replace("INSERT", "INSERT OR REPLACE", 1)
    ],
    "a layer of another piece": [to_wear(HIGH, 100, "Iron Gate", 100, LAYER).replace("INSERT", "INSERT OR REPLACE", 1)],
    "a layer that takes another's number": [f"UPDATE OR REPLACE layers SET id = {LAYER} WHERE piece_id = {HIGH}"],
    "a hotter firing": [replaced("firings", f"id = {LOW_FIRING}", heat="100")],
    "a place in the kiln": [
        replaced("loaded", f"piece_id = {LOADED}", firing_id=str(HOT_FIRING), heat="60", ceiling="60")
    ],
    "a route that takes another's name": ["UPDATE OR REPLACE routes SET name = 'raku' WHERE name = 'mid-range'"],
}
BY_ROW_NUMBER = {
    f"{what} by {name}": [statement.format(name=name)]
    for name in ("rowid", "oid", "_rowid_")
    for what, statement in {
        "a piece": f"UPDATE OR REPLACE pieces SET {{name}} = {WAITS_LOW} WHERE id = {HIGH}",
        "a piece with another number": f"UPDATE pieces SET {{name}} = 99 WHERE id = {WAITS_LOW}",
        "a firing": f"UPDATE OR REPLACE firings SET {{name}} = {LOW_FIRING} WHERE id = {HOT_FIRING}",
        "a glaze": f"UPDATE OR REPLACE glazes SET {{name}} = {id_of('glazes', 'Plum Gloss')} WHERE name = 'Iron Gate'",
        "a clay": (
            f"UPDATE OR REPLACE clays SET {{name}} = {id_of('clays', 'Roof Tile Red')} WHERE name = 'Doorstep Buff'"
        ),
        "a layer": f"UPDATE OR REPLACE layers SET {{name}} = {LAYER} WHERE piece_id = {HIGH}",
        "a place in the queue": f"UPDATE OR REPLACE waiting SET {{name}} = {WAITS_LOW} WHERE piece_id = {WAITS_MID}",
        "a place in the kiln": f"UPDATE OR REPLACE loaded SET {{name}} = {LOADED} WHERE piece_id = {RAW}",
        "a route": (
            "UPDATE OR REPLACE routes SET {name} = (SELECT {name} FROM routes WHERE name = 'low-fire')"
            " WHERE name = 'high-fire'"
        ),
        "a route that comes in": (
            "INSERT OR REPLACE INTO routes ({name}, name, title, kind, heat, takes_outdoor, is_bisque, retired)"
            " SELECT {name}, 'lower', title, kind, 100, takes_outdoor, is_bisque, retired"
            " FROM routes WHERE name = 'low-fire'"
        ),
    }.items()
}
"""SQLite's other names for the number of a row."""

LEAVES_ALL_WELL = {
    "a cooler low-fire": ["UPDATE routes SET heat = -60 WHERE name = 'low-fire'"],
    "a glaze that stands more": ["UPDATE glazes SET cone_high = 60, ceiling = 60 WHERE name = 'Plum Gloss'"],
    "a clay that stands more": ["UPDATE clays SET ceiling = 120 WHERE name = 'Doorstep Buff'"],
    "a piece that counts as weaker than it is": [f"UPDATE pieces SET ceiling = 60 WHERE id = {HIGH}"],
    "out of the queue": [f"DELETE FROM waiting WHERE piece_id = {WAITS_LOW}"],
    "out of the kiln": [f"DELETE FROM loaded WHERE piece_id = {LOADED}"],
    "a glaze washed off, and the ceiling with it": [
        f"DELETE FROM layers WHERE piece_id = {LOW}",
        f"UPDATE pieces SET ceiling = 100, stage = 'queued' WHERE id = {LOW}",
        to_wait(LOW, HOT, "'high-fire'", HOT),
    ],
    "an honest place in the queue": [queue_up(LOW), to_wait(LOW, -40, "'low-fire'", -40)],
    "a piece of another queue in a kiln that is cooler": [
        to_load(WAITS_MID, 60, LOW_FIRING, "'low-fire'", -40, "'mid-range'", "FALSE")
    ],
    "a firing that turns bisque and stays as hot": [
        f"UPDATE firings SET route = 'bisque', is_bisque = TRUE WHERE id = {LOW_FIRING}"
    ],
    "greenware beside glazed ware": [to_load(FREE_RAW, -40, LOW_FIRING, "'low-fire'", -40, "NULL", "FALSE")],
    "an honest place in the kiln": [to_load(FREE_RAW, -40, BISQUE_FIRING, "'bisque'", -60, "NULL", "TRUE")],
}
