"""What pages ask costs the same with a million finished pieces: no question goes through a table that only grows."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import Connection, event

from tests.photographed import photographed
from tests.staffed import MIRA, TOM, asked_by, bisqued, fired, glazed, queued, started, the_piece
from tests.studio import NOON, a_new_piece
from tracker.domain.outdoor.results import Smoke
from tracker.domain.pieces.nameless import Sighting
from tracker.domain.pieces.piece import Build, Stage, StepName
from tracker.domain.studio.materials import ClayKind, Zone
from tracker.store.prepared import _Compiled
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pickup, pieces, undoing
from tracker.usecases.pieces.shelves import too_long_before
from tracker.usecases.rules import questions

GROWING = (
    *("pieces", "history", "requests", "results", "layers", "prints", "print_jobs", "questions", "firings", "photos"),
    *("marks", "people", "joiners", "witnesses", "outdoor_sessions", "taps", "readings"),
)

ALL_SEEN = Sighting(
    height_mm=120,
    width_mm=80,
    clay_kind=ClayKind.STONEWARE,
    glaze="Still Water",
    stage=Stage.FIRED,
    build=Build.THROWN,
    place="shelf",
    taken_home=True,
)

QUESTIONS: dict[str, Callable[[Store, str], object]] = {
    "a piece by its code": lambda store, ref: store.read.pieces.piece(code=ref),
    "a piece by its number": lambda store, _: store.read.pieces.piece(number=1),
    "a piece's page": lambda store, ref: store.read.pieces.page(the_piece(store, ref).id),
    "a maker's pieces": lambda store, _: store.read.pieces.of(MIRA.id),
    "a maker's finished pieces": lambda store, _: store.read.pieces.finished_of(MIRA.id, limit=25),
    "what stands fired": lambda store, _: store.read.pieces.standing(Stage.FIRED),
    "what is ready for pickup": lambda store, _: store.read.pieces.ready_for_pickup(MIRA.id),
    "what waits": lambda store, _: store.read.pieces.waiting(),
    "what waits outdoors": lambda store, _: store.read.pieces.waiting(["raku", "horsehair"]),
    "pieces of likely codes": lambda store, ref: store.read.pieces.likely([ref, "K7R43"]),
    "open questions": lambda store, _: store.read.questions.open(),
    "open firings but the rounds outdoors": lambda store, _: store.read.firings.listed(rounds=False),
    "open firings": lambda store, _: store.read.firings.listed(),
    "a firing": lambda store, _: store.read.firings.page(1),
    "the last moves of a person": lambda store, _: store.read.pieces.moves_by(
        TOM.id, since=NOON - timedelta(1), limit=30
    ),
    "a line of history": lambda store, _: store.read.pieces.history_line(1),
    "a scan": lambda store, ref: pieces.wax(store, asked_by(TOM), ref),
    "a piece glazed": lambda store, ref: pieces.glaze(store, asked_by(TOM), ref, "Still Water", Zone.LIP),
    "a piece queued": lambda store, _: pieces.queue(store, asked_by(TOM), glazed(store), "mid-range"),
    "a slip taken back": lambda store, ref: undoing.undo(
        store, asked_by(TOM), pieces.wax(store, asked_by(TOM), ref).line or 0
    ),
    "a piece put in a kiln": lambda store, _: firings.put_in(store, asked_by(TOM), started(store), queued(store)),
    "a piece handed over": lambda store, _: pickup.hand_over(store, asked_by(TOM), fired(store)),
    "pieces on a shelf": lambda store, _: store.read.papers.at_place("rack 3"),
    "pieces of a section": lambda store, _: store.read.papers.in_section("Thursday"),
    "today's pieces": lambda store, _: store.read.papers.that_took(StepName.REGISTER, NOON),
    "my pieces of today": lambda store, _: store.read.papers.that_took(StepName.BISQUE, NOON, MIRA.id),
    "how much stands where": lambda store, _: (
        store.read.papers.counted_by_place(),
        store.read.papers.counted_by_section(),
    ),
    "pieces by codes and slips": lambda store, ref: store.read.papers.numbers_of([ref, "W1"]),
    "whose tags were printed": lambda store, _: store.read.papers.printed_since([1, 2, 3], NOON),
    "a printing": lambda store, _: store.read.papers.job(1),
    "what was printed": lambda store, _: store.read.papers.jobs(),
    "what one person printed": lambda store, _: store.read.papers.jobs(by_id=TOM.id, before=50),
    "the best tile of each glaze": lambda store, _: store.read.tiles.best_for(),
    "a piece's photos": lambda store, ref: store.read.album.of(the_piece(store, ref).id),
    "the newest photo of some pieces": lambda store, _: store.read.album.newest_of([1, 2, 3]),
    "a photo by its name": lambda store, _: store.read.album.photo("0" * 32),
    "a photo added": lambda store, ref: photographed(store, ref, MIRA),
    "a nameless piece by its size": lambda store, _: store.read.pieces.lookalikes(Sighting(height_mm=120), at=NOON),
    "a nameless piece by all of it, at home too": lambda store, _: store.read.pieces.lookalikes(ALL_SEEN, at=NOON),
    "what was answered about clays and glazes": lambda store, _: store.read.questions.pinned(
        clays_named=list(store.read.catalog().clays), glazes_named=list(store.read.catalog().glazes)
    ),
    "what was answered about a clay": lambda store, _: store.read.questions.pinned(clays_named=["Lantern White"]),
    "what staff printed on last": lambda store, _: store.read.papers.stock_of_staff("tags"),
    "what was answered on pieces": lambda store, _: store.read.questions.answered_on([1, 2, 3]),
    "the last steps of pieces": lambda store, _: store.read.pieces.last_steps([1, 2, 3]),
    "who runs the studio": lambda store, _: store.read.people.staff(),
    "the newest people": lambda store, _: store.read.people.listed(),
    "who left last": lambda store, _: store.read.people.left(),
    "who waits to be let in": lambda store, _: store.read.joining.waiting(),
    "who joined lately": lambda store, _: store.read.joining.joined_since(NOON),
    "people of a name": lambda store, _: store.read.people.named("mira"),
    "a person by email": lambda store, _: store.read.people.person(email=MIRA.email),
    "what a maker lost": lambda store, _: store.read.pieces.lost_lately(MIRA.id, since=NOON),
    "the shelves that were named": lambda store, _: store.read.stocktakes.shelves(),
    "the last stocktake of a shelf": lambda store, _: store.read.stocktakes.last_of("rack 3"),
    "what was scanned in a stocktake": lambda store, _: store.read.stocktakes.scanned(1),
    "why pieces are lost": lambda store, _: store.read.shelves.causes([1, 2, 3]),
    "what is missing": lambda store, _: store.read.shelves.missing(NOON),
    "what turned up": lambda store, _: store.read.shelves.turned_up(NOON),
    "how many are missing": lambda store, _: store.read.shelves.count_missing(NOON),
    "other registrations of a piece": lambda store, _: store.read.pieces.registered_twice_as(1),
    "what a term left behind": lambda store, _: (store.read.term_pieces.here(1), store.read.term_pieces.lost(1, NOON)),
    "what one did with a whole shelf": lambda store, _: store.read.shelves.done_together(
        TOM.id, since=NOON - timedelta(1)
    ),
    "every shelf": lambda store, _: store.read.shelves.listed(),
    "what is on a shelf": lambda store, _: store.read.shelves.on("rack 3", limit=50),
    "what has been on a shelf too long": lambda store, _: store.read.shelves.standing_since(
        too_long_before(NOON), limit=3
    ),
    "pieces of a name": lambda store, _: store.read.finding.pieces(("moon",)),
    "one's own pieces of a name": lambda store, _: store.read.finding.pieces(("moon",), maker_id=MIRA.id),
    "pieces with a glaze": lambda store, _: store.read.finding.with_glaze("Still Water"),
    "one's own pieces with a glaze": lambda store, _: store.read.finding.with_glaze("Still Water", maker_id=MIRA.id),
    "shelves in use": lambda store, _: store.read.pieces.places(),
    "a set of a maker": lambda store, _: store.read.pieces.set_named(MIRA.id, "teapot"),
    "every firing": lambda store, _: store.read.firings.listed(open_only=False),
    "what firings cost": lambda store, _: store.read.firings.spent_since(NOON),
    "every firing indoors": lambda store, _: store.read.firings.listed(open_only=False, rounds=False),
    "a firing's log": lambda store, _: store.read.firings.log(1),
    "witness cones of a kiln": lambda store, _: store.read.firings.witnessed("Back box", before=90, limit=12),
    "an outdoor session": lambda store, _: store.read.outdoors.session(1),
    "open outdoor sessions": lambda store, _: store.read.outdoors.sessions(open_only=True),
    "outdoor sessions": lambda store, _: store.read.outdoors.sessions(),
    "what was tapped": lambda store, _: store.read.outdoors.taps(1),
    "fuel of a kiln's sessions": lambda store, _: store.read.outdoors.fuel("Yard drum"),
    "a kiln's last session": lambda store, _: store.read.outdoors.last_facts("Yard drum"),
    "the firings ahead": lambda store, _: store.read.forecasts.ahead(),
    "who waits in front of a piece": lambda store, _: store.read.forecasts.line("mid-range"),
    "who waits for the bisque": lambda store, _: store.read.forecasts.line(None),
    "how long a kiln cooled": lambda store, _: store.read.forecasts.heatings("Back box", "mid-range"),
    "how much loads held": lambda store, _: store.read.forecasts.load_counts(["mid-range"]),
    "why a plan left a piece out": lambda store, _: store.read.forecasts.why_left_out(1, 1),
    "a maker's finished pieces of a name": lambda store, _: store.read.pieces.finished_of(MIRA.id, "cup", limit=25),
    "marks of a session": lambda store, _: store.read.outdoors.marks(1),
    "what was fired outdoors": lambda store, _: store.read.outdoors.fired(),
    "examples": lambda store, _: store.read.outdoors.examples(),
    "examples of a glaze": lambda store, _: store.read.outdoors.examples(glaze="Still Water"),
    "examples of smoke": lambda store, _: store.read.outdoors.examples(smoke=Smoke.HEAVY),
    "a question put": lambda store, ref: questions.ask(store, asked_by(MIRA), ref, "May it?"),
}

BOUNDED = {
    "the newest people": {"SCAN people USING INDEX ix_people_here"},
    "who left last": {"SCAN people USING INDEX ix_people_left"},
    "people of a name": {"SCAN people"},
    "every firing": {"SCAN firings"},
    "what firings cost": {"SCAN firings"},
    "how much loads held": {"SCAN firings"},
    "outdoor sessions": {"SCAN outdoor_sessions"},
    "examples": {"SCAN marks USING INDEX sqlite_autoindex_marks_1"},
    "examples of a glaze": {"SCAN marks USING INDEX sqlite_autoindex_marks_1"},
    "examples of smoke": {"SCAN marks USING INDEX sqlite_autoindex_marks_1"},
    "what was fired outdoors": {"SCAN firings USING INDEX ix_firings_outdoors"},
}
"""What walks back from the newest row and stops at its limit."""

BY_INDEX: dict[str, tuple[Callable[[Store], object], str]] = {
    "a maker's finished pieces": (
        lambda store: store.read.pieces.finished_of(MIRA.id, limit=25),
        "ix_pieces_maker_id_stage_since (maker_id=? AND stage=?)",
    ),
    "a maker's pieces that were registered last": (
        lambda store: store.read.pieces.last_registered(MIRA.id),
        "ix_pieces_maker_id_registered_at (maker_id=?)",
    ),
    "the other pieces of a set": (
        lambda store: store.read.pieces.mates(
            the_piece(store, bisqued(store, a_new_piece("teapot", set_name="tea for two")))
        ),
        "ix_pieces_sets (maker_id=? AND set_name=?)",
    ),
    "pieces that are missing": (lambda store: store.read.shelves.missing(NOON), "ix_history_missed (piece_id=?)"),
    "pieces that turned up": (lambda store: store.read.shelves.turned_up(NOON), "ix_history_found (at>?)"),
}
"""What is asked of few among all that a maker or a studio ever made, and the index that gives them."""

FEW = ("ix_people_staff", "ix_firings_open")
"""Indexes that hold few rows however many the table has."""


def scans(store: Store, ask: Callable[[], object], may: Collection[str] = ()) -> list[str]:
    """The steps of SQLite's plans that go through a whole growing table, with the statement each belongs to."""
    return [
        f"{step}: {' '.join(statement.split())[:300]}"
        for step, statement in plans(store, ask)
        if step.startswith(tuple(f"SCAN {table}" for table in GROWING))
        and not step.endswith(FEW)
        and not (step in may and "LIMIT" in statement)
    ]


def plans(store: Store, ask: Callable[[], object]) -> list[tuple[str, str]]:
    """The steps of SQLite's plans for what is asked, each with the statement it belongs to."""
    said: list[tuple[str, Any]] = []

    def note(_connection: object, _cursor: object, statement: str, values: Any, *_: object) -> None:  # noqa: ANN401 -- the driver's own
        said.append((statement, values))

    def sent(one: _Compiled, connection: Connection, values: Mapping[str, object]) -> object:
        said.append((one.sql, [None] * len(one.order or ())))
        return send(one, connection, values)

    send = _Compiled.sent
    both = store._engine, store._writer
    for engine in both:
        event.listen(engine, "before_cursor_execute", note)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(_Compiled, "sent", sent)
        ask()
    for engine in both:
        event.remove(engine, "before_cursor_execute", note)
    found = []
    with store._engine.connect() as connection:
        for statement, values in said:
            if not statement.startswith(("SELECT", "UPDATE", "DELETE", "INSERT")):
                continue
            plan = connection.connection.cursor().execute(f"EXPLAIN QUERY PLAN {statement}", values).fetchall()
            found += [(step, statement) for *_, step in plan]
    assert said
    return found


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
@pytest.mark.parametrize("name", QUESTIONS)
def test_no_question_goes_through_a_table_that_only_grows(store: Store, name: str) -> None:
    ref, ask = bisqued(store), QUESTIONS[name]
    store.read.catalog()

    assert scans(store, lambda: ask(store, ref), BOUNDED.get(name, ())) == []


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_a_maker_looks_for_pieces_among_their_own_alone(store: Store) -> None:
    steps = [step for step, _ in plans(store, lambda: store.read.finding.pieces(("moon",), maker_id=MIRA.id))]

    through = [step for step in steps if step.startswith(("SEARCH pieces USING INDEX", "SCAN pieces"))]
    assert through
    assert [step for step in through if "ix_pieces_maker_id_stage_since (maker_id=? AND stage=?" not in step] == []


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
@pytest.mark.parametrize("name", BY_INDEX)
def test_an_index_gives_the_few_that_are_asked_for(store: Store, name: str) -> None:
    ask, index = BY_INDEX[name]

    steps = [step for step, _ in plans(store, lambda: ask(store))]

    assert [step for step in steps if step.endswith(index)]


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_a_question_that_does_so_would_be_seen(store: Store) -> None:
    def ask() -> None:
        with store.writing() as connection:
            connection.exec_driver_sql("SELECT * FROM pieces WHERE what = 'tall cup'")

    found = scans(store, ask)

    assert [one.partition(":")[0] for one in found] == ["SCAN pieces"]
