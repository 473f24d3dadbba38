"""A studio of any age, written in bulk: so many finished pieces with all that they leave behind, and 5,000 under way.

What grows with the years grows here: pieces, layers, history, requests, firings, results, witness cones, sessions,
taps, marks, prints, printings, photos, questions and people. Twenty pieces are finished a day, so an older studio is
not a busier one. Those who work in it now, and what they have under way, are the same in a studio of any age.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection, create_engine, text

from tests.pages import fired_outdoors
from tests.staffed import TOM, asked_by, fired, open_studio
from tracker.store.tables import IN_ORDER, metadata
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pickup

UNDER_WAY = 5_000
_FIRST = 1_000
"""Bulk rows are numbered from here on, so that they meet nothing that was entered by hand."""
_PER_FIRING, _PER_PERSON, _PER_OUTDOOR = 20, 100, 5
_MAKERS = 200
"""So many people have the pieces that are under way."""

_AGO = {
    "sqlite": "strftime('%Y-%m-%d %H:%M:%f000', 'now', '-' || ({minutes}) || ' minutes')",
    "postgresql": "(now() - ({minutes}) * interval '1 minute')",
}
_STAGES = ("greenware", "bisqued", "waxed", "glazed", "fired")


def build(database: str, finished: int, *, photos: str = "") -> Store:
    """Fill a migrated, empty database with a studio in which `finished` pieces have gone home."""
    store = open_studio(database, photos=photos)
    pickup.hand_over(store, asked_by(TOM), fired(store))
    fired_outdoors(store)
    engine = create_engine(database)
    with engine.begin() as connection, _unguarded(connection):
        for statement in _statements(connection, finished):
            connection.execute(text(statement))
        _count_on(connection)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        # A server does this by itself within minutes; SQLite has nobody who would, so it goes without.
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql("VACUUM ANALYZE")
        else:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    return store


@contextmanager
def _unguarded(connection: Connection) -> Iterator[None]:
    """Without triggers for a while: they ask about every row, and these rows are copies of some that have passed."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
        yield
        return
    found = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").all()
    for name, _ in found:
        connection.exec_driver_sql(f"DROP TRIGGER {name}")
    yield
    for _, says in found:
        connection.exec_driver_sql(says)


def _statements(connection: Connection, finished: int) -> Iterator[str]:
    """What fills every table, each from the numbers 1 to n and one row that is there already."""
    ago = _AGO[connection.dialect.name]
    firings, newest = finished // _PER_FIRING, _FIRST + finished
    when = ago.format(minutes=f"({finished} - n) * 72 + 60")
    outdoors = f"n % {_PER_OUTDOOR} = 0"
    old_people, now_people = finished // _PER_PERSON, _MAKERS
    indoor, wild = (
        _first(connection, f"piece_id) FROM results JOIN firings ON firings.id = firing_id WHERE session_id IS {kind}")
        for kind in ("NULL", "NOT NULL")
    )
    session = _first(connection, "id) FROM outdoor_sessions WHERE stage = 'ended'")
    glaze, clay = _first(connection, "glaze_id) FROM layers"), _first(connection, "clay_id) FROM pieces")
    piece = f"{_FIRST} + n"
    yield _copies(
        "people",
        old_people + now_people,
        {
            "id": piece,
            "name": "'Potter ' || n || ' Kilner'",
            "email": "'potter' || n || '@old.example'",
            "removed_at": "NULL",
        },
        "people.id = 4",
    )
    yield _copies(
        "outdoor_sessions",
        firings,
        {
            "id": piece,
            "starts_at": when.replace(str(finished), str(firings)),
            "ended_at": when.replace(str(finished), str(firings)),
        },
        f"outdoor_sessions.id = {session} AND {outdoors}",
    )
    moment = ago.format(minutes=f"({firings} - n) * 72 * {_PER_FIRING} + 60")
    for condition, kind in ((f"NOT ({outdoors})", "IS NULL"), (outdoors, f"= {session}")):
        yield _copies(
            "firings",
            firings,
            {
                "id": piece,
                "began_at": moment,
                "lit_at": moment,
                "unloaded_at": moment,
                "session_id": "NULL" if kind == "IS NULL" else piece,
            },
            f"firings.id = (SELECT min(id) FROM firings WHERE session_id {kind}) AND {condition}",
        )
    for condition, like in (
        (f"((n - 1) / {_PER_FIRING} + 1) % {_PER_OUTDOOR} <> 0", indoor),
        (f"((n - 1) / {_PER_FIRING} + 1) % {_PER_OUTDOOR} = 0", wild),
    ):
        yield _copies(
            "pieces",
            finished,
            {
                "id": piece,
                "code": "substr(CAST(1000000 + n AS TEXT), 2, 6)",
                "maker_id": f"{_FIRST} + 1 + n % {old_people}",
                "stage": "CASE WHEN n % 20 = 0 THEN 'lost' ELSE 'claimed' END",
                "came_from": "CASE WHEN n % 20 = 0 THEN 'bisqued' END",
                "set_name": "CASE WHEN n % 5 = 0 THEN 'set ' || n % 3 END",
                "registered_at": when,
                "since": when,
            },
            f"pieces.id = {like} AND {condition}",
        )
    now = ago.format(minutes="n")
    stage = "CASE n % 5 " + " ".join(f"WHEN {at} THEN '{one}'" for at, one in enumerate(_STAGES)) + " END"
    yield _copies(
        "pieces",
        UNDER_WAY,
        {
            "id": f"{newest} + n",
            "code": "'Y' || substr(CAST(100000 + n AS TEXT), 2, 5)",
            "maker_id": f"{_FIRST} + {old_people} + 1 + n % {now_people}",
            "stage": stage,
            "ceiling": "CASE WHEN n % 5 < 3 THEN pieces.clay_ceiling ELSE pieces.ceiling END",
            "place": "'rack ' || n % 12",
            "set_name": "NULL",
            "registered_at": now,
            "since": now,
        },
        f"pieces.id = {indoor}",
    )
    every = f"pieces.id > {_FIRST}"
    number = "pieces.id"
    yield _each(
        "layers",
        {"id": f"{_FIRST} + {number}", "piece_id": number},
        f"layers.piece_id = CASE WHEN pieces.outdoor_only THEN {wild} ELSE {indoor} END "
        f"AND {every} AND pieces.stage IN ('claimed', 'lost', 'glazed', 'fired')",
    )
    for turn, (step, start, to) in enumerate(
        (("register", "NULL", "'bisqued'"), ("claim", "'bisqued'", "pieces.stage"))
    ):
        yield _each(
            "history",
            {
                "id": f"{_FIRST} + 2 * {number} + {turn}",
                "piece_id": number,
                "at": "pieces.since",
                "by_id": "2",
                "request_key": f"'r' || {number}",
                "step": f"'{step}'",
                "start": start,
                "to": to,
            },
            f"history.id = 1 AND {every}",
        )
    yield _each(
        "requests",
        {"key": f"'r' || {number}", "person_id": "2", "at": "pieces.since"},
        f"requests.key = (SELECT min(key) FROM requests WHERE doing LIKE 'register%') AND {every}",
    )
    fired_in = f"{_FIRST} + 1 + ({number} - {_FIRST} - 1) / {_PER_FIRING}"
    old = f"{every} AND {number} <= {newest}"
    yield _each(
        "results",
        {
            "firing_id": fired_in,
            "piece_id": number,
            "outcome": f"CASE WHEN {number} % 9 = 0 THEN 'cracked' ELSE 'good' END",
        },
        f"(results.firing_id, results.piece_id) = (SELECT firing_id, piece_id FROM results LIMIT 1) AND {old}",
    )
    yield _each(
        "marks",
        {"firing_id": fired_in, "piece_id": number},
        f"(marks.firing_id, marks.piece_id) = (SELECT firing_id, piece_id FROM marks WHERE colour <> '' LIMIT 1) "
        f"AND pieces.outdoor_only AND {old}",
    )
    yield _each(
        "prints",
        {"id": f"{_FIRST} + {number}", "piece_id": number, "by_id": "2", "at": "pieces.since", "job_id": "NULL"},
        every,
        like=False,
    )
    yield _each(
        "photos",
        {
            "id": f"{_FIRST} + {number}",
            "piece_id": number,
            "stem": f"'old' || {number}",
            "width": "300",
            "height": "400",
            "bytes": "40000",
            "stage": "'fired'",
            "words": "''",
            "added_at": "pieces.since",
            "by_id": "2",
        },
        f"{every} AND {number} % 10 = 0",
        like=False,
    )
    yield _each(
        "questions",
        {
            "id": f"{_FIRST} + {number}",
            "piece_id": number,
            "route": "'mid-range'",
            "text": "'May it?'",
            "findings": "'[]'",
            "asked_by": "pieces.maker_id",
            "asked_at": "pieces.since",
            "answered_by": "1",
            "answered_at": "pieces.since",
            "allows": "TRUE",
            "answer": "'It may.'",
            "pinned_clay": f"CASE WHEN {number} <= {_FIRST + 250} THEN {clay} END",
            "pinned_glaze": f"CASE WHEN {number} <= {_FIRST + 250} THEN {glaze} END",
        },
        f"{old} AND {number} % 50 = 0",
        like=False,
    )
    yield _numbered(
        "witnesses",
        firings * 2,
        {
            "id": piece,
            "firing_id": f"{_FIRST} + (n + 1) / 2",
            "level": "1",
            "cone": "20",
            "kind": "'large'",
            "stands": "'half'",
        },
        "(n + 1) / 2 % 10 = 1",
    )
    yield _numbered(
        "print_jobs",
        firings,
        {
            "id": piece,
            "kind": "'tags'",
            "things": "'[]'",
            "stock": "'A4, 24 tags'",
            "start_at": "1",
            "nudge_x": "0",
            "nudge_y": "0",
            "line": "''",
            "labels": "20",
            "reprints": "'[]'",
            "by_id": "2",
            "at": moment,
        },
    )
    yield _numbered(
        "taps",
        firings * 5,
        {
            "id": piece,
            "key": "'t' || n",
            "session_id": f"{_FIRST} + n / 5",
            "firing_id": f"{_FIRST} + n / 5",
            "did": "'start'",
            "value": "''",
            "at": now,
            "came_at": now,
            "by_id": "2",
        },
        f"n / 5 % {_PER_OUTDOOR} = 0 AND n >= 5",
    )


def _first(connection: Connection, asked: str) -> int:
    """The smallest of some numbers."""
    return int(connection.execute(text(f"SELECT min({asked}")).scalar_one())


def _columns(table: str, own: dict[str, str], *, like: bool) -> tuple[str, str]:
    names = [column.name for column in metadata.tables[table].columns if like or column.name in own]
    return ", ".join(f'"{name}"' for name in names), ", ".join(own.get(name, f'{table}."{name}"') for name in names)


def _copies(table: str, many: int, own: dict[str, str], where: str) -> str:
    """So many copies of the row that `where` finds, each with its `own` values, which know their number as n."""
    names, values = _columns(table, own, like=True)
    return f"{_counted(table, names, many)} SELECT {values} FROM counted, {table} WHERE {where}"


def _numbered(table: str, many: int, own: dict[str, str], where: str = "TRUE") -> str:
    """So many rows of these values alone."""
    names, values = _columns(table, own, like=False)
    return f"{_counted(table, names, many)} SELECT {values} FROM counted WHERE {where}"


def _counted(table: str, names: str, many: int) -> str:
    numbers = f"WITH RECURSIVE counted(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM counted WHERE n < {many})"
    return f"INSERT INTO {table} ({names}) {numbers}"


def _each(table: str, own: dict[str, str], where: str, *, like: bool = True) -> str:
    """A row for each piece; where it is `like` one, the other values come from the row that `where` finds."""
    names, values = _columns(table, own, like=like)
    return f"INSERT INTO {table} ({names}) SELECT {values} FROM pieces{f', {table}' if like else ''} WHERE {where}"


def _count_on(connection: Connection) -> None:
    """Let PostgreSQL number the next rows after these."""
    if connection.dialect.name == "sqlite":
        return
    for table in IN_ORDER:
        if table.autoincrement_column is not None:
            name = table.autoincrement_column.name
            highest = f"(SELECT coalesce(max({name}), 1) FROM {table.name})"
            connection.exec_driver_sql(f"SELECT setval(pg_get_serial_sequence('{table.name}', '{name}'), {highest})")
