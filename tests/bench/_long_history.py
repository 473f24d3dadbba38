"""A studio of any age, written in bulk: so many finished pieces with all that they leave behind, and 5,000 under way.

What grows with the years grows here: pieces, layers, history, requests, firings, results, witness cones, sessions,
taps, marks, prints, printings, photos, questions and people. Twenty pieces are finished a day, so an older studio is
not a busier one. Those who work in it now, and what they have under way, are the same in a studio of any age.

Pages list a bounded number of what is newest: 1,000 people, 500 firings, 500 lost pieces, 20,000 printings that are
searched. Those lists are full in a studio of any age, or an old one would seem slow for nothing but having a whole page
to show: a small studio has fewer pieces in each firing, more makers for its pieces, and loses more of them. The
student who looks at pages has made 500 of its pieces, and 5,000 of a million.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection, create_engine, text

from tests.pages import fired_outdoors
from tests.staffed import INES, TOM, asked_by, fired, open_studio
from tracker.store.tables import IN_ORDER, metadata
from tracker.store.unit_of_work import Store
from tracker.usecases.pieces import pickup

UNDER_WAY = 5_000
_FIRST = 1_000
"""Bulk rows are numbered from here on, so that they meet nothing that was entered by hand."""
_PER_FIRING, _PER_PERSON, _PER_OUTDOOR, _PER_LOSS = 20, 100, 5, 20
_FIRINGS, _PEOPLE, _LOST, _PRINTINGS, _OF_STUDENT = 1_000, 2_000, 500, 20_000, 500
"""At least so many there are, which is more than any page lists."""
_PER_OF_STUDENT, _IN_A_ROW, _TERMS = 200, 5, 40
"""Of so many pieces one is the student's; so many by one maker follow each other; so many terms are over."""
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
        for statement in _statements(_Past.of(connection, finished)):
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


@dataclass(frozen=True, slots=True)
class _Past:
    """How much there is to write, and the rows by hand that everything is a copy of.

    `indoor` and `wild` are pieces fired in a kiln and outdoors, `session` an outdoor session that has ended. `ago` says
    in the engine's words when something was, by so many minutes.
    """

    finished: int
    ago: str
    is_strict: bool
    indoor: int
    wild: int
    session: int
    glaze: int
    clay: int

    @classmethod
    def of(cls, connection: Connection, finished: int) -> _Past:
        """Look up what is there by hand."""
        fired = "piece_id) FROM results JOIN firings ON firings.id = firing_id WHERE session_id IS"
        return cls(
            finished=finished,
            ago=_AGO[connection.dialect.name],
            is_strict=connection.dialect.name != "sqlite",
            indoor=_first(connection, f"{fired} NULL"),
            wild=_first(connection, f"{fired} NOT NULL"),
            session=_first(connection, "id) FROM outdoor_sessions WHERE stage = 'ended'"),
            glaze=_first(connection, "glaze_id) FROM layers"),
            clay=_first(connection, "clay_id) FROM pieces"),
        )

    @property
    def per_firing(self) -> int:
        """How many pieces were fired together."""
        return min(_PER_FIRING, self.finished // _FIRINGS)

    @property
    def per_loss(self) -> int:
        """Of how many pieces one was lost."""
        return min(_PER_LOSS, self.finished // _LOST)

    @property
    def firings(self) -> int:
        """How many firings those pieces took."""
        return self.finished // self.per_firing

    @property
    def makers(self) -> int:
        """How many people have made them; every other one has left."""
        return max(self.finished // _PER_PERSON, _PEOPLE)

    @property
    def maker(self) -> str:
        """The number of the maker of the finished piece numbered n."""
        per_of_student = min(_PER_OF_STUDENT, self.finished // _OF_STUDENT)
        others = f"{_FIRST} + 1 + n / {_IN_A_ROW} % {self.makers}"
        return f"CASE WHEN n % {per_of_student} = 1 THEN {INES.id} ELSE {others} END"

    @property
    def section(self) -> str:
        """The number of the section in which the maker numbered n was."""
        return f"{_FIRST} + 1 + (n - 1) * {_TERMS} / {self.makers}"

    @property
    def newest(self) -> int:
        """The number of the last piece that was finished."""
        return _FIRST + self.finished

    def at(self, minutes: str) -> str:
        """The moment so many minutes ago."""
        return self.ago.format(minutes=minutes)

    @property
    def fired_in(self) -> str:
        """The number of the firing of a finished piece."""
        return f"{_FIRST} + 1 + (pieces.id - {_FIRST} - 1) / {self.per_firing}"

    @property
    def of_firing(self) -> str:
        """When the firing numbered n was."""
        return self.at(f"({self.firings} - n) * {72 * self.per_firing} + 60")


_NUMBER = f"{_FIRST} + n"
_OUTDOORS = f"n % {_PER_OUTDOOR} = 0"
_ALL = f"pieces.id > {_FIRST}"


def _statements(past: _Past) -> Iterator[str]:
    """What fills every table, each from the numbers 1 to n and one row that already exists."""
    yield from _terms(past)
    yield _people(past)
    yield from _firings(past)
    yield from _pieces(past)
    yield from _steps()
    yield from _outcomes(past)
    yield from _papers(past)
    yield _questions(past)


def _terms(past: _Past) -> Iterator[str]:
    over = {"starts_on": "'1999-01-01'", "ends_on": "'1999-04-01'", "ended_at": past.at("n")}
    if past.is_strict:
        over = {name: f"CAST({value} AS DATE)" if name.endswith("_on") else value for name, value in over.items()}
    yield _numbered("terms", _TERMS, {"id": _NUMBER, "name": "'Term ' || n", **over})
    yield _numbered("sections", _TERMS, {"id": _NUMBER, "name": "'Monday'", "term_id": _NUMBER})


def _people(past: _Past) -> str:
    someone = {
        "id": _NUMBER,
        "name": "'Potter ' || n || ' Kilner'",
        "email": "'potter' || n || '@old.example'",
        "card": "'S' || substr(CAST(1000000000 + n AS TEXT), 2, 9) || 'S'",
        "left_at": f"CASE WHEN n <= {past.makers} AND n % 2 = 0 THEN {past.at('n')} END",
        "section_id": f"CASE WHEN n <= {past.makers} THEN {past.section} ELSE section_id END",
    }
    return _copies("people", past.makers + _MAKERS, someone, "people.id = 4")


def _firings(past: _Past) -> Iterator[str]:
    when = past.of_firing
    session = {"id": _NUMBER, "starts_at": when, "ended_at": when}
    yield _copies("outdoor_sessions", past.firings, session, f"outdoor_sessions.id = {past.session} AND {_OUTDOORS}")
    own = {"id": _NUMBER, "began_at": when, "lit_at": when, "unloaded_at": when}
    for which, like, session_id in (
        (f"NOT ({_OUTDOORS})", "IS NULL", "NULL"),
        (_OUTDOORS, f"= {past.session}", _NUMBER),
    ):
        found = f"firings.id = (SELECT min(id) FROM firings WHERE session_id {like}) AND {which}"
        yield _copies("firings", past.firings, {**own, "session_id": session_id}, found)
    witness = {"id": _NUMBER, "firing_id": f"{_FIRST} + (n + 1) / 2", "level": "1", "cone": "20"}
    words = {"kind": "'large'", "stands": "'half'"}
    yield _numbered("witnesses", past.firings * 2, witness | words, "(n + 1) / 2 % 10 = 1")
    tap = {"id": _NUMBER, "key": "'t' || n", "session_id": f"{_FIRST} + n / 5", "firing_id": f"{_FIRST} + n / 5"}
    words = {"did": "'start'", "value": "''", "at": past.at("n"), "came_at": past.at("n"), "by_id": "2"}
    yield _numbered("taps", past.firings * 5, tap | words, f"n / 5 % {_PER_OUTDOOR} = 0 AND n >= 5")


def _pieces(past: _Past) -> Iterator[str]:
    when = past.at(f"({past.finished} - n) * 72 + 60")
    gone = {
        "id": _NUMBER,
        "code": "substr(CAST(1000000 + n AS TEXT), 2, 6)",
        "maker_id": past.maker,
        "stage": f"CASE WHEN n % {past.per_loss} = 0 THEN 'lost' ELSE 'claimed' END",
        "came_from": f"CASE WHEN n % {past.per_loss} = 0 THEN 'bisqued' END",
        "set_name": f"CASE WHEN n / {_IN_A_ROW} % 5 = 0 THEN 'set ' || (n / {_IN_A_ROW}) END",
        "registered_at": when,
        "since": when,
    }
    was_outdoors = f"((n - 1) / {past.per_firing} + 1) % {_PER_OUTDOOR} = 0"
    yield _copies("pieces", past.finished, gone, f"pieces.id = {past.indoor} AND NOT ({was_outdoors})")
    yield _copies("pieces", past.finished, gone, f"pieces.id = {past.wild} AND {was_outdoors}")
    here = {
        "id": f"{past.newest} + n",
        "code": "'Y' || substr(CAST(100000 + n AS TEXT), 2, 5)",
        "maker_id": f"{_FIRST} + {past.makers} + 1 + n % {_MAKERS}",
        "stage": "CASE n % 5 " + " ".join(f"WHEN {at} THEN '{one}'" for at, one in enumerate(_STAGES)) + " END",
        "ceiling": "CASE WHEN n % 5 < 3 THEN pieces.clay_ceiling ELSE pieces.ceiling END",
        "place": "'rack ' || n % 12",
        "set_name": "NULL",
        "registered_at": past.at("n"),
        "since": past.at("n"),
    }
    yield _copies("pieces", UNDER_WAY, here, f"pieces.id = {past.indoor}")
    yield _each(
        "layers",
        {"id": f"{_FIRST} + pieces.id", "piece_id": "pieces.id"},
        f"layers.piece_id = CASE WHEN pieces.outdoor_only THEN {past.wild} ELSE {past.indoor} END "
        f"AND {_ALL} AND pieces.stage IN ('claimed', 'lost', 'glazed', 'fired')",
    )


def _steps() -> Iterator[str]:
    steps = (("register", "NULL", "'bisqued'"), ("claim", "'bisqued'", "pieces.stage"))
    for turn, (step, start, to) in enumerate(steps):
        line = {
            "id": f"{_FIRST} + 2 * pieces.id + {turn}",
            "piece_id": "pieces.id",
            "at": "pieces.since",
            "by_id": "2",
            "request_key": "'r' || pieces.id",
            "step": f"'{step}'",
            "start": start,
            "to": to,
        }
        yield _each("history", line, f"history.id = 1 AND {_ALL}")
    first = f"requests.key = (SELECT min(key) FROM requests WHERE doing LIKE 'register%') AND {_ALL}"
    yield _each("requests", {"key": "'r' || pieces.id", "person_id": "2", "at": "pieces.since"}, first)


def _outcomes(past: _Past) -> Iterator[str]:
    gone = f"{_ALL} AND pieces.id <= {past.newest}"
    outcome = "CASE WHEN pieces.id % 9 = 0 THEN 'cracked' ELSE 'good' END"
    yield _each(
        "results",
        {"firing_id": past.fired_in, "piece_id": "pieces.id", "outcome": outcome},
        f"(results.firing_id, results.piece_id) = (SELECT firing_id, piece_id FROM results LIMIT 1) AND {gone}",
    )
    yield _each(
        "marks",
        {"firing_id": past.fired_in, "piece_id": "pieces.id"},
        "(marks.firing_id, marks.piece_id) = (SELECT firing_id, piece_id FROM marks WHERE color <> '' LIMIT 1) "
        f"AND pieces.outdoor_only AND {gone}",
    )


def _papers(past: _Past) -> Iterator[str]:
    number = {"id": f"{_FIRST} + pieces.id", "piece_id": "pieces.id", "by_id": "2"}
    yield _each("prints", {**number, "at": "pieces.since", "job_id": "NULL", "of_ticket": "FALSE"}, _ALL, like=False)
    photo = {"stem": "'old' || pieces.id", "width": "300", "height": "400", "bytes": "40000"}
    words = {"stage": "'fired'", "words": "''", "added_at": "pieces.since"}
    yield _each("photos", number | photo | words, f"{_ALL} AND pieces.id % 10 = 0", like=False)
    job = {"id": _NUMBER, "kind": "'tags'", "things": "'[]'", "stock": "'A4, 24 tags'", "start_at": "1"}
    words = {"nudge_x": "0", "nudge_y": "0", "line": "''", "labels": "20", "reprints": "'[]'", "by_id": "2"}
    many = max(past.firings, _PRINTINGS)
    yield _numbered("print_jobs", many, job | words | {"at": past.at(f"({many} - n) * 60 + 60")})


def _questions(past: _Past) -> str:
    asked = {"id": f"{_FIRST} + pieces.id", "piece_id": "pieces.id", "route": "'mid-range'", "text": "'May it?'"}
    by = {"findings": "'[]'", "asked_by": "pieces.maker_id", "asked_at": "pieces.since"}
    answered = {"answered_by": "1", "answered_at": "pieces.since", "allows": "TRUE", "answer": "'It may.'"}
    # Answers are pinned by hand, and as many in a studio of any age.
    is_pinned = f"CASE WHEN pieces.id <= {_FIRST + 250} THEN"
    pinned = {"pinned_clay": f"{is_pinned} {past.clay} END", "pinned_glaze": f"{is_pinned} {past.glaze} END"}
    gone = f"{_ALL} AND pieces.id <= {past.newest} AND pieces.id % 50 = 0"
    return _each("questions", asked | by | answered | pinned, gone, like=False)


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
