"""Whatever is done, corrected and taken back, in whatever order: the store is as a model says, and an undo is exact."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as some
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import create_engine, make_url

from tests.laws.test_any_walk import WARNINGS
from tests.reading import said
from tests.staffed import (
    ADA,
    INES,
    MIRA,
    TOM,
    asked_by,
    bisqued,
    glazed,
    off_and_out,
    open_studio,
    queued,
    started,
    studio_store,
    the_piece,
)
from tests.studio import NOON, a_new_piece
from tests.yard import fire_round, planned_session
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.disposal import Disposal
from tracker.domain.pieces.history import Receipt, Request
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Foot, Stage, Use
from tracker.domain.refusals import Refusal
from tracker.domain.studio.materials import Zone
from tracker.domain.studio.people import Person
from tracker.store import backup as keeping
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import corrections, firings, logs, results
from tracker.usecases.pieces import (
    disposing,
    editing,
    found_again,
    layers,
    pickup,
    pieces,
    registrations,
    stocktaking,
    undoing,
    ware_shelves,
    wishes,
)
from tracker.usecases.rules import questions
from tracker.wording.history import notes_of, step_of

WALKS = {"sqlite": 4, "postgresql": 2}
HOUR = timedelta(hours=1)
TODAY = NOON + timedelta(days=3)
SIX = Cone.parse("6")
SHELVES = ("rack 3", "board 12", "cart")
CAME_OUT = (Outcome.GOOD, Outcome.BROKE, Outcome.of(Flaw.CRAZED), Outcome.of(Flaw.CRACKED))


def _keep(store: Store, request: Request, ref: str) -> Receipt:
    """Keep one piece for the studio, whose maker doesn't come for it."""
    done = disposing.dispose(store, request, Disposal.KEEP, [(ref, the_piece(store, ref).version)])
    return replace(done, line=int(done.extra["lines"]))


STEPS_FROM: Mapping[str, tuple[Callable[..., Receipt], tuple[Stage, ...]]] = {
    "wax": (pieces.wax, (Stage.BISQUED,)),
    "not waxed": (pieces.not_waxed, (Stage.WAXED,)),
    "wash off": (pieces.wash_off, (Stage.GLAZED,)),
    "pull back": (pieces.pull_back, (Stage.QUEUED,)),
    "lose": (partial(pieces.lose, cause=Loss.MISSING), (Stage.QUEUED, Stage.GLAZED)),
    "find": (found_again.find, (Stage.LOST,)),
    "cancel": (registrations.cancel, (Stage.GREENWARE,)),
    "hand out": (pickup.hand_over, (Stage.FIRED,)),
    "keep": (_keep, (Stage.FIRED, Stage.BISQUED)),
}
"""Steps that ask nothing of the rules, with the stages at which they are mostly taken."""

Model = Mapping[tuple[str, Any], tuple[Any, ...]]
"""Everything that is known now, without how it came to be: by a kind of fact and whose fact it is."""

_FACTS = {
    "piece": (
        "SELECT id, code, what, maker_id, stage, came_from, place, foot, catch_plate, glazed_at, clay_id, ceiling, "
        "use, build, height_mm, mended, flaws, fired_to, set_name FROM pieces"
    ),
    # What is told anew to have broken is lost from then on, and no longer since it was told before.
    "since": "SELECT id, since FROM pieces WHERE stage <> 'lost'",
    "layers": "SELECT piece_id, glaze_id, zone, fired_to FROM layers ORDER BY id",
    "waits": "SELECT piece_id, route, since, accepted FROM waiting",
    "wish": "SELECT piece_id, route, by_id, at FROM wishes",
    "leads to": "SELECT piece_id, into_id FROM merged",
    "asked": (
        "SELECT piece_id, route, text, asked_by, asked_at FROM questions WHERE answered_at IS NULL "
        "ORDER BY asked_at, id"
    ),
    "results": "SELECT piece_id, firing_id, outcome FROM results ORDER BY firing_id",
    "times": "SELECT id, stage, lit_at, shut_at FROM firings",
    "log": "SELECT firing_id, second, temp_c FROM readings ORDER BY second",
    "cones": "SELECT firing_id, level, cone, kind, stands FROM witnesses ORDER BY id",
}
_OPEN = "SELECT id, stage FROM firings WHERE stage IN ('loading', 'firing')"


@dataclass(frozen=True)
class Deed:
    """What somebody did: what it changed, from what and to what, the last line of each piece's history, its undo."""

    was: Mapping[tuple[str, Any], tuple[Any, ...]]
    now: Mapping[tuple[str, Any], tuple[Any, ...]]
    lines: Mapping[int, int]
    undo: Callable[[], object]
    is_shelf: bool = False
    is_line: bool = False


class AnyUndo(RuleBasedStateMachine):
    """A studio in the middle of its work, in which mistakes are made and mended."""

    copied: Callable[[], str]
    times_undone = 0

    def __init__(self) -> None:
        """Open a copy of the studio."""
        super().__init__()
        self.url = self.copied()
        self.store = studio_store(self.url)
        self.hand = create_engine(self.url, isolation_level="AUTOCOMMIT")
        self.eyes = self.hand.connect()
        self.clock = TODAY
        self.deeds: list[Deed] = []
        self.turn = 0
        self.model: Model = self.seen()

    def teardown(self) -> None:
        """Read every history, check everything there is to check, and let go of the studio."""
        catalog = self.store.read.catalog()
        for kind, number in self.model:
            if kind == "piece":
                for line in self.store.read.pieces.page(number).history:
                    assert said(step_of(line, catalog))
                    assert all(map(said, notes_of(line)))
        self.eyes.close()
        self.hand.dispose()
        self.store.close()
        assert keeping.check(self.url) == ()

    # ---- what is known

    def seen(self) -> Model:
        """What is in the store now."""
        found: dict[tuple[str, Any], tuple[Any, ...]] = {}
        for kind, statement in _FACTS.items():
            for number, *facts in self.eyes.exec_driver_sql(statement):
                found[kind, number] = (*found.get((kind, number), ()), tuple(facts))
        return found

    def lines(self) -> dict[int, int]:
        """The last line of each piece's history."""
        return dict(map(tuple, self.eyes.exec_driver_sql("SELECT piece_id, max(id) FROM history GROUP BY piece_id")))

    def fact(self, number: int, name: str) -> Any:  # noqa: ANN401 -- whatever a column holds
        """One fact of a piece."""
        names = _FACTS["piece"].removeprefix("SELECT ").partition(" FROM ")[0].split(", ")
        return self.model["piece", number][0][names.index(name) - 1]

    def some_piece(self, number: int, *stages: Stage) -> int:
        """The number of a piece that leads to no other: of five, four are at one of these stages, if any is."""
        here = [
            one for kind, one in sorted(self.model, key=str) if kind == "piece" and ("leads to", one) not in self.model
        ]
        fits = [one for one in here if number % 5 < 4 and self.fact(one, "stage") in stages]
        found: int = (fits or here)[number % len(fits or here)]
        return found

    def ref(self, number: int) -> str:
        """What a piece is called by."""
        return self.fact(number, "code") or f"W{number}"

    def asks(self, by: Person = TOM) -> Request:
        """A request by somebody, a minute after the one before."""
        self.clock += timedelta(minutes=1)
        return asked_by(by, self.clock)

    # ---- what is done, and taken back

    def do(
        self,
        about: Collection[int],
        work: Callable[[], Receipt],
        undo: Callable[[Receipt], Callable[[], object]],
        **how: bool,
    ) -> Deed | None:
        """Do something that concerns these pieces or firings alone; a refusal changes nothing."""
        before, lines = self.model, self.lines()
        try:
            receipt = work()
        except Refusal:
            assert self.seen() == before
            return None
        self.model = now = self.seen()
        changed = {key for key in before.keys() | now.keys() if before.get(key) != now.get(key)}
        assert {number for _kind, number in changed} <= set(about)
        written = {number: line for number, line in self.lines().items() if lines.get(number) != line}
        assert written.keys() <= set(about)
        deed = Deed(
            {key: before.get(key, ()) for key in changed},
            {key: now.get(key, ()) for key in changed},
            written,
            undo(receipt),
            **how,
        )
        if changed or written:
            self.deeds.append(deed)
            self.turn += 1
        return deed

    def by_line(self, receipt: Receipt) -> Callable[[], object]:
        """The undo of a step as the button has it."""
        return lambda: undoing.undo(self.store, self.asks(), receipt.line or 0)

    def step(self, number: int, work: Callable[..., Receipt], *given: Any, **named: Any) -> Deed | None:  # noqa: ANN401 -- whatever a step is given
        """Take a step with a piece that its line undoes."""
        return self.do(
            [number],
            lambda: work(self.store, self.asks(), self.ref(number), *given, **named),
            self.by_line,
            is_line=True,
        )

    @rule(which=some.integers(0, 5))
    def take_back(self, which: int) -> None:
        """Somebody undoes one of the last things that were done: exactly that, or it's refused and changes nothing."""
        if not self.deeds:
            return
        self.turn = 0
        deed = self.deeds[-1 - which % len(self.deeds)]
        if any(("asked", number) in self.model for number in deed.lines):
            # What waits for an answer doesn't go back into its queue.
            return
        lines = self.lines()
        still = {number for number, line in deed.lines.items() if lines[number] == line}
        is_last = still == deed.lines.keys() and all(self.model.get(key, ()) == now for key, now in deed.now.items())
        if deed.is_line:
            self.take_back_by_its_button(deed, is_last=is_last)
        elif deed.is_shelf:
            self.take_back_a_shelf(deed, still)
        elif is_last:
            self.deeds.remove(deed)
            self.undone(deed, deed.was)

    def take_back_by_its_button(self, deed: Deed, *, is_last: bool) -> None:
        """The button is there as long as nothing came after, for nobody else, and where it is there it works."""
        (line,) = deed.lines.values()
        shown = undoing.can_undo(self.store.read, line, TOM, self.clock)
        assert not undoing.can_undo(self.store.read, line, ADA, self.clock)
        assert shown == is_last
        self.deeds.remove(deed)
        if shown:
            self.undone(deed, deed.was)
            return
        with pytest.raises(Refusal):
            deed.undo()
        assert self.seen() == self.model

    def take_back_a_shelf(self, deed: Deed, still: Collection[int]) -> None:
        """What was done with a whole shelf is undone for all that haven't moved on since."""
        line = max((deed.lines[number] for number in still), default=max(deed.lines.values()))
        undo = partial(undoing.undo_together, self.store, self.asks(), line)
        if still:
            self.undone(replace(deed, undo=undo), {key: was for key, was in deed.was.items() if key[1] in still})
        else:
            with pytest.raises(Refusal):
                undo()
        self.deeds.remove(deed)

    def undone(self, deed: Deed, was: Mapping[tuple[str, Any], tuple[Any, ...]]) -> None:
        """Undo it: what it changed is as it was, and nothing else is different."""
        deed.undo()
        self.__class__.times_undone += 1
        self.model = {key: fact for key, fact in {**self.model, **was}.items() if fact}

    @invariant()
    def every_other_deed_is_a_slip(self) -> None:
        """Somebody sees a slip at once: it is undone, and the store is as the model says."""
        if self.turn == 2:
            self.take_back(0)
        assert self.seen() == self.model

    # ---- shelves

    @rule(place=some.sampled_from(SHELVES), to=some.sampled_from(SHELVES))
    def move_a_whole_shelf(self, place: str, to: str) -> None:
        """Everything on a shelf moves to another: that place and nothing else is different of each."""
        on = [row.piece.id for row in self.store.read.shelves.on(place, limit=99)]
        work = partial(ware_shelves.move_shelf, self.store, self.asks(), place, to)
        deed = self.do(on, work, lambda _: _nothing, is_shelf=True)
        if deed is not None:
            assert all(self.fact(number, "place") == to for number in on)
            assert {kind for kind, _ in deed.now} == {"piece"}

    @rule(place=some.sampled_from(SHELVES), seen=some.lists(some.integers(0, 20), max_size=3), goes_on=some.booleans())
    def count_a_shelf(self, place: str, seen: list[int], *, goes_on: bool) -> None:
        """A shelf is counted, which changes nothing; then what is new is put there, and what is missing is missed."""
        begun = stocktaking.begin_stocktake(self.store, self.asks(), place)
        number = int(begun.extra["stocktake"])
        for one in seen:
            stocktaking.scan_in_stocktake(self.store, self.asks(), number, self.ref(self.some_piece(one)))
        stocktaking.end_stocktake(self.store, self.asks(), number)
        if goes_on:
            stocktaking.reopen_stocktake(self.store, self.asks(), number)
            stocktaking.end_stocktake(self.store, self.asks(), number)
        assert self.seen() == self.model
        count = stocktaking.count_of(self.store.read, number)
        for rows, work in ((count.new, stocktaking.put_new_here), (count.missing, stocktaking.lose_missing)):
            ids = [row.piece.id for row in rows]
            self.do(ids, partial(work, self.store, self.asks(), number), lambda _: _nothing, is_shelf=True)
        assert all(self.fact(row.piece.id, "place") == place for row in count.new)
        assert all(self.fact(row.piece.id, "stage") == Stage.LOST for row in count.missing)

    # ---- single steps

    @rule(
        number=some.integers(0, 20),
        what=some.sampled_from(sorted(STEPS_FROM)),
        place=some.sampled_from(["", *SHELVES]),
    )
    def take_a_step(self, number: int, what: str, place: str) -> None:
        """A step that asks nothing of the rules, at a shelf or not."""
        work, stages = STEPS_FROM[what]
        how = {} if what in {"cancel", "hand out", "keep"} else {"place": place}
        self.step(self.some_piece(number, *stages), work, **how)

    @rule(
        number=some.integers(0, 20),
        glaze=some.sampled_from(["Still Water", "Attic Window"]),
        foot=some.sampled_from([None, *Foot]),
    )
    def glaze(self, number: int, glaze: str, foot: Foot | None) -> None:
        """One more layer."""
        piece = self.some_piece(number, Stage.BISQUED, Stage.WAXED, Stage.GLAZED)
        self.step(piece, pieces.glaze, glaze, Zone.OUTSIDE, foot=foot, catch_plate=foot is Foot.WIPED)

    @rule(number=some.integers(0, 20), layer=some.sampled_from([0, 0, 1]))
    def take_one_layer_off(self, number: int, layer: int) -> None:
        """One layer comes off; the others stay, in their order."""
        piece = self.some_piece(number, Stage.GLAZED)
        before = self.model.get(("layers", piece), ())
        if self.step(piece, layers.take_off, layer) is not None:
            assert self.model.get(("layers", piece), ()) == (*before[:layer], *before[layer + 1 :])

    @rule(number=some.integers(0, 20), place=some.sampled_from(["", *SHELVES]))
    def queue(self, number: int, place: str) -> None:
        """A piece is queued where it belongs."""
        self.step(self.some_piece(number, Stage.GLAZED), pieces.queue, "mid-range", accepts=WARNINGS, place=place)

    @rule(number=some.integers(0, 20), asks=some.booleans())
    def wish_or_ask(self, number: int, *, asks: bool) -> None:
        """A maker asks for a firing, or asks the instructor; neither is undone by a button."""
        piece = self.some_piece(number, Stage.QUEUED if asks else Stage.GLAZED)
        ref = self.ref(piece)
        if asks:
            work = partial(questions.ask, self.store, self.asks(MIRA), ref, "May it?", route="raku")
        else:
            work = partial(wishes.wish, self.store, self.asks(MIRA), ref, "mid-range")
        self.do([piece], work, lambda _: _nothing)
        self.deeds = [deed for deed in self.deeds if deed.is_shelf or deed.undo is not _nothing]

    # ---- what is known of a piece

    @rule(
        number=some.integers(0, 20),
        told=some.builds(
            Told,
            what=some.sampled_from([None, "jar"]),
            height_mm=some.sampled_from([None, 90]),
            build=some.sampled_from([None, Build.COIL]),
        ),
        clay=some.sampled_from(["", "Gravel Walk", "Roof Tile Red"]),
    )
    def edit(self, number: int, told: Told, clay: str) -> None:
        """A piece is edited, and edited back; one that had to leave its queue stays out of it."""
        piece = self.some_piece(number, Stage.GLAZED, Stage.QUEUED)
        known = self.store.read.pieces.piece(number=piece)
        assert known is not None
        was = Told(what=known.what, height_mm=known.height_mm, build=known.build)
        change = partial(editing.set_right, self.store)
        deed = self.do(
            [piece],
            lambda: change(self.asks(), known.ref, told, clay=clay),
            lambda _: lambda: change(self.asks(), known.ref, was, clay=known.clay.name),
        )
        if deed is not None and ("waits", piece) in deed.was:
            self.deeds.remove(deed)
            # Once the start of a kiln is undone, what became unfit in it has to come out.
            self.deeds = [one for one in self.deeds if ("times", known.in_firing) not in one.was]

    # ---- registrations

    @rule(number=some.integers(0, 20), to=some.sampled_from([INES, MIRA]))
    def give(self, number: int, to: Person) -> None:
        """A piece is another maker's; given back it is in its set again."""
        piece = self.some_piece(number)
        maker, ref = self.fact(piece, "maker_id"), self.ref(piece)
        work = partial(registrations.give, self.store, self.asks(), ref, to.id)
        deed = self.do([piece], work, lambda _: lambda: registrations.give(self.store, self.asks(), ref, maker))
        if deed is not None:
            assert self.fact(piece, "maker_id") == to.id

    @rule(number=some.integers(0, 20), other=some.integers(0, 20), by_button=some.booleans())
    def merge(self, number: int, other: int, *, by_button: bool) -> None:
        """Two registrations are one piece; parted, or undone by the button, both are where they were."""
        stays, gone = self.some_piece(number), self.some_piece(other, Stage.QUEUED, Stage.GREENWARE)
        ref = self.ref(gone)
        led = [one for (kind, one), into in self.model.items() if kind == "leads to" and into[0][0] == gone]

        def undo(_receipt: Receipt) -> Callable[[], object]:
            if by_button:
                line = self.lines()[gone]
                return lambda: undoing.undo(self.store, self.asks(), line)
            return lambda: registrations.part(self.store, self.asks(), self.ref(stays), gone)

        work = partial(registrations.merge, self.store, self.asks(), self.ref(stays), ref, sure=True)
        if self.do([stays, gone, *led], work, undo) is not None:
            assert self.store.read.pieces.leads_to(gone) == stays

    # ---- firings

    @rule(number=some.integers(0, 20), came=some.sampled_from(CAME_OUT))
    def correct_a_result(self, number: int, came: Outcome) -> None:
        """A result is corrected, indoors or outdoors, and back: its flaws and its stage follow it there and back."""
        told = {
            one: fact
            for (kind, one), fact in self.model.items()
            if kind == "results" and ("leads to", one) not in self.model
        }
        found = sorted((one, firing) for one, fact in told.items() for firing, _ in fact)
        if not found:
            return
        piece, firing = found[number % len(found)]
        was = self.store.read.firings.result(firing, piece)
        assert was is not None
        ref = self.ref(piece)

        def corrected(to: Outcome) -> Receipt:
            return results.correct_result(self.store, self.asks(), firing, ref, to)

        deed = self.do([piece], partial(corrected, came), lambda _: partial(corrected, was))
        if deed is not None:
            assert self.store.read.firings.result(firing, piece) == came
            assert self.fact(piece, "stage") == Stage.LOST or not came.broke

    @precondition(lambda self: self.eyes.exec_driver_sql(_OPEN).first())
    @rule()
    def run_the_kiln(self) -> None:
        """The kiln that is loaded comes on or goes off, and that was a slip."""
        ((firing, stage),) = self.eyes.exec_driver_sql(_OPEN)
        is_on = stage == FiringStage.FIRING
        work, undo = (firings.shut_off, firings.still_on) if is_on else (firings.light, firings.open_again)
        self.do(
            [firing],
            lambda: work(self.store, self.asks(), firing),
            lambda _: partial(self.undo_at_the_kiln, undo, firing),
        )

    def undo_at_the_kiln(self, undo: Callable[..., Receipt], firing: int) -> Receipt:
        """Undo the last that was said of a kiln."""
        return undo(self.store, self.asks(), firing)

    @rule(
        firing=some.integers(1, 2),
        on=some.integers(-3, 3),
        off=some.integers(-3, 3),
        moves=some.booleans(),
        stood=some.lists(some.sampled_from(Stands), max_size=2),
    )
    def correct_a_firing(self, firing: int, on: int, off: int, stood: list[Stands], *, moves: bool) -> None:
        """When a kiln came on and went off is corrected, and its log goes with it; witness cones are read again."""
        page = self.store.read.firings.page(firing)
        assert page is not None
        lit, shut = page.firing.lit_at, page.firing.shut_at
        assert lit is not None
        assert shut is not None

        def timed(lit_at: datetime, shut_at: datetime) -> Receipt:
            return corrections.correct_times(
                self.store, self.asks(), firing, lit_at=lit_at, shut_at=shut_at, log_moves=moves
            )

        def noted(cones: Sequence[tuple[int | None, WitnessCone]]) -> Receipt:
            return logs.note_witnesses(self.store, self.asks(), firing, cones)

        if self.do([firing], partial(timed, lit + on * HOUR, shut + off * HOUR), lambda _: partial(timed, lit, shut)):
            now = self.store.read.firings.firing(firing)
            assert now is not None
            assert (now.lit_at, now.shut_at) == (lit + on * HOUR, shut + off * HOUR)
        before = [(one.level, WitnessCone(one.cone, Stands(one.stands), one.kind)) for one in page.witnesses]
        cones = [(level, WitnessCone(SIX, one, "self-supporting")) for level, one in enumerate(stood, start=1)]
        self.do([firing], partial(noted, cones), lambda _: partial(noted, before))


def _nothing() -> None:
    """No undo."""


def in_the_middle_of_its_work(url: str) -> None:
    """A studio with pieces at every stage on its shelves, two firings with their logs, and a session outdoors."""
    store = open_studio(url)
    cups = [pieces.register(store, asked_by(MIRA), a_new_piece()).ref for _ in range(2)]
    pot, lid = (bisqued(store, a_new_piece(set_name="teapot")) for _ in range(2))
    layered = glazed(store, "Still Water", "Attic Window")
    dish = bisqued(store, a_new_piece(use=Use.FOOD))
    for zone in (Zone.INSIDE, Zone.OUTSIDE):
        pieces.glaze(store, asked_by(TOM), dish, "Still Water", zone, foot=Foot.WIPED)
    wishes.wish(store, asked_by(MIRA), dish, "mid-range")
    waits = [queued(store), queued(store)]
    for outcome in (Outcome.GOOD, Outcome.of(Flaw.CRAZED)):
        ref, firing = queued(store), started(store)
        firings.put_in(store, asked_by(TOM), firing, ref)
        firings.light(store, asked_by(TOM, NOON), firing)
        logs.note_reading(store, asked_by(TOM, NOON + 2 * HOUR), firing, 90.0)
        firings.shut_off(store, asked_by(TOM, NOON + 10 * HOUR), firing)
        off_and_out(store, asked_by(TOM, NOON + 30 * HOUR), firing, {ref: outcome})
        pieces.shelve(store, asked_by(TOM), ref, "rack 3")
    queued(store, "Ember Luster", route="raku")
    fire_round(store, planned_session(store))
    firings.put_in(store, asked_by(TOM), started(store), queued(store))
    lost = bisqued(store)
    for ref, place in zip((*cups, pot, lid, layered, dish, *waits, lost), SHELVES * 3, strict=True):
        pieces.shelve(store, asked_by(TOM), ref, place)
    pieces.lose(store, asked_by(TOM), lost, Loss.MISSING)
    store.close()


@pytest.mark.slow
def test_any_undo_leaves_what_it_undid_as_it_was_and_all_else_alone(
    fresh_url: Callable[[], str], request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    first, walks = fresh_url(), WALKS[request.node.callspec.params["fresh_url"]]
    in_the_middle_of_its_work(first)

    def copied() -> str:
        if first.startswith("sqlite"):
            return f"sqlite:///{shutil.copyfile(first.removeprefix('sqlite:///'), tmp_path / f'{uuid4()}.sqlite')}"
        room, name = request.getfixturevalue("postgres_room"), str(make_url(first).database)
        copy: str = room(f"undo_{request.getfixturevalue('worker_id')}", name)
        return copy

    class OnOneEngine(AnyUndo):
        """The same, of studios on one engine."""

    OnOneEngine.copied = staticmethod(copied)
    run_state_machine_as_test(
        OnOneEngine,
        settings=settings(
            max_examples=walks,
            stateful_step_count=60,
            deadline=None,
            phases=(Phase.generate, Phase.shrink),
            suppress_health_check=list(HealthCheck),
        ),
    )

    # Walks in which hardly anything is undone would show nothing.
    assert OnOneEngine.times_undone > walks
