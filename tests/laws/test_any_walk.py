"""Whatever people do in whatever order, and whatever a hand tries by SQL, what must hold of every piece holds."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as some
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.staffed import ADA, EVERYBODY, TOM, asked_by, off_and_out, open_studio
from tests.studio import NOON, OUTCOMES, a_new_piece, a_studio
from tracker.domain.cones import Cone
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Build, Foot, Stage, Use
from tracker.domain.refusals import Refusal
from tracker.domain.rules.engine import RULES
from tracker.domain.studio.materials import Family, FoodStanding, Zone
from tracker.domain.studio.people import Person
from tracker.store import backup as keeping
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import editing, found_again, pickup, pieces, undoing
from tracker.usecases.rules import questions

STUDIO = a_studio()
ROUTES = sorted(STUDIO.catalog.routes)
WARNINGS = frozenset(rule.name for rule in RULES)

anybody = some.sampled_from(EVERYBODY)
whoever_decides = some.sampled_from([ADA, ADA, TOM])
routes = some.sampled_from(ROUTES)
targets = some.sampled_from([Cone.parse(text) for text in ("010", "06", "04", "6", "10")])
pots = some.builds(
    a_new_piece,
    clay=some.sampled_from(sorted(STUDIO.catalog.clays)),
    build=some.sampled_from(Build),
    use=some.sampled_from(Use),
    height_mm=some.integers(10, 400),
    fragile=some.booleans(),
    burnished=some.booleans(),
    mended=some.booleans(),
    nests=some.booleans(),
    arrives_bisqued=some.sampled_from([True, True, False]),
)
tellings = some.builds(
    Told,
    use=some.none() | some.sampled_from(Use),
    height_mm=some.none() | some.integers(10, 400),
    weight_g=some.none() | some.sampled_from([700, 4_600]),
    vented=some.none() | some.booleans(),
    mended=some.none() | some.booleans(),
    foot=some.none() | some.sampled_from(Foot),
    catch_plate=some.none() | some.booleans(),
)

# Each is refused by the guards, or changes nothing that matters: what the walk must never see succeed is harm.
HARMFUL = (
    "UPDATE waiting SET route = 'high-fire', heat = 100 WHERE piece_id = {id}",
    "UPDATE waiting SET route = 'high-fire', heat = 100, ceiling = 100, takes_outdoor = FALSE WHERE piece_id = {id}",
    "UPDATE waiting SET heat = -220 WHERE piece_id = {id}",
    (
        "INSERT INTO waiting SELECT id, 'queued', 100, FALSE, 'high-fire', 100, FALSE, since, '[]' "
        "FROM pieces WHERE id = {id}"
    ),
    "UPDATE pieces SET ceiling = 100 WHERE id = {id}",
    "UPDATE pieces SET outdoor_only = FALSE WHERE id = {id}",
    "UPDATE pieces SET code = 'K7R43' WHERE id = {id} AND code IS NOT NULL",
    "UPDATE pieces SET id = 1000 WHERE id = {id} AND id IN (SELECT piece_id FROM waiting)",
    "DELETE FROM layers WHERE piece_id = {id} AND piece_id IN (SELECT piece_id FROM waiting)",
    "UPDATE glazes SET cone_low = -220, ceiling = -220 WHERE id IN (SELECT glaze_id FROM layers)",
    "UPDATE firings SET heat = 140 WHERE id IN (SELECT firing_id FROM loaded)",
    "UPDATE history SET \"to\" = 'fired' WHERE piece_id = {id}",
    "DELETE FROM history WHERE piece_id = {id}",
)


class Walk(RuleBasedStateMachine):
    """A studio in which anybody does anything, one thing after the other."""

    fresh_url: Callable[[], str]

    def __init__(self) -> None:
        """Open a fresh studio."""
        super().__init__()
        self.url = self.fresh_url()
        self.store = open_studio(self.url)
        self.hand = create_engine(self.url)
        self.codes: dict[int, str] = {}
        self.lines = 0

    def teardown(self) -> None:
        """Check everything there is to check, and let go of the studio."""
        assert keeping.check(self.url) == ()
        self.store.close()
        self.hand.dispose()

    def ask(self, statement: str) -> list[Any]:
        """Rows, asked for by SQL alone."""
        with self.hand.connect() as connection:
            return list(connection.exec_driver_sql(statement).all())

    def some_ref(self, number: int) -> str:
        """What one of the pieces is called by."""
        found = self.ask("SELECT id, code FROM pieces ORDER BY id")
        if not found:
            return "W1"
        piece, code = found[number % len(found)]
        return code or f"W{piece}"

    def attempt(self, work: Callable[[], object]) -> None:
        """Do it; a refusal is an answer, and anything else a fault that ends the walk."""
        try:
            work()
        except Refusal:
            return

    # ---- what people do

    @rule(by=anybody, pot=pots)
    def register(self, by: Person, pot: NewPiece) -> None:
        """Somebody makes something."""
        self.attempt(lambda: pieces.register(self.store, asked_by(by), pot))

    @rule(by=anybody, number=some.integers(0, 9), glaze=some.sampled_from(sorted(STUDIO.catalog.glazes)))
    def glaze(self, by: Person, number: int, glaze: str) -> None:
        """Somebody glazes a piece."""
        ref = self.some_ref(number)
        self.attempt(lambda: pieces.glaze(self.store, asked_by(by), ref, glaze, Zone.OUTSIDE))

    @rule(
        by=anybody,
        number=some.integers(0, 9),
        told=tellings,
        clay=some.sampled_from(["", "", *sorted(STUDIO.catalog.clays)]),
    )
    def set_right(self, by: Person, number: int, told: Told, clay: str) -> None:
        """Somebody puts right what is known of a piece, wherever it is."""
        ref = self.some_ref(number)
        self.attempt(lambda: editing.set_right(self.store, asked_by(by), ref, told, clay=clay))

    @rule(by=whoever_decides, number=some.integers(0, 9), route=routes)
    def queue(self, by: Person, number: int, route: str) -> None:
        """Somebody puts a piece in a queue, whatever the warnings."""
        ref = self.some_ref(number)
        self.attempt(lambda: pieces.queue(self.store, asked_by(by), ref, route, accepts=WARNINGS))

    @rule(
        by=anybody,
        number=some.integers(0, 9),
        step=some.sampled_from(
            [pieces.wax, pieces.wash_off, pieces.pull_back, found_again.find, pickup.hand_over, pickup.take_back]
        ),
    )
    def step(self, by: Person, number: int, step: Callable[..., object]) -> None:
        """Somebody takes a plain step."""
        ref = self.some_ref(number)
        self.attempt(lambda: step(self.store, asked_by(by), ref))

    @rule(by=whoever_decides, number=some.integers(0, 9), to=some.sampled_from(Stage))
    def put_right(self, by: Person, number: int, to: Stage) -> None:
        """Somebody corrects a stage, or sends a piece back into the fire, or gives it up."""
        ref = self.some_ref(number)
        if to is Stage.LOST:
            self.attempt(lambda: pieces.lose(self.store, asked_by(by), ref, "gone"))
        elif to is Stage.QUEUED:
            self.attempt(lambda: pieces.fire_again(self.store, asked_by(by), ref, "crawled"))
        else:
            self.attempt(lambda: pieces.correct(self.store, asked_by(by), ref, to, "it was wrong"))

    @rule(by=anybody)
    def undo(self, by: Person) -> None:
        """Somebody takes back the last step there was."""
        ((last,),) = self.ask("SELECT coalesce(max(id), 0) FROM history")
        undo = partial(undoing.undo, self.store, asked_by(by), last)
        # The button is shown where it works, and nowhere else.
        if undoing.can_undo(self.store.read, last, by, NOON):
            undo()
            return
        with pytest.raises(Refusal):
            undo()

    @rule(by=whoever_decides, number=some.integers(0, 9), route=routes, allows=some.booleans())
    def decide(self, by: Person, number: int, route: str, allows: bool) -> None:  # noqa: FBT001 - drawn by name
        """Somebody asks about a piece, and somebody answers."""
        ref = self.some_ref(number)

        def work() -> None:
            asked = questions.ask(self.store, asked_by(TOM), ref, "May it?", route=route).extra["question"]
            questions.answer(self.store, asked_by(by), int(asked), "Yes or no.", allows=allows)

        self.attempt(work)

    @rule(kiln=some.sampled_from(sorted(STUDIO.catalog.kilns)), route=routes, cone=targets)
    def load(self, kiln: str, route: str, cone: Cone) -> None:
        """A kiln is loaded with whatever it takes."""

        def work() -> None:
            firing = int(starting.start(self.store, asked_by(TOM), kiln, route, cone).extra["firing"])
            for piece, code in self.ask("SELECT id, code FROM pieces ORDER BY id"):
                ref = code or f"W{piece}"
                self.attempt(partial(firings.put_in, self.store, asked_by(TOM), firing, ref))

        self.attempt(work)

    @precondition(lambda self: self.ask("SELECT 1 FROM loaded LIMIT 1"))
    @rule(outcome=some.sampled_from(OUTCOMES))
    def unload(self, outcome: Outcome) -> None:
        """A kiln is unloaded."""
        inside = self.ask("SELECT p.id, p.code, l.firing_id FROM loaded l JOIN pieces p ON p.id = l.piece_id")
        firing = inside[0][2]
        outcomes = {code or f"W{piece}": outcome for piece, code, where in inside if where == firing}
        self.attempt(lambda: firings.light(self.store, asked_by(TOM), firing))
        self.attempt(lambda: off_and_out(self.store, asked_by(TOM), firing, outcomes))

    @rule(number=some.integers(1, 9), statement=some.sampled_from(HARMFUL))
    def meddle(self, number: int, statement: str) -> None:
        """Somebody tries by SQL."""
        try:
            with self.hand.begin() as connection:
                connection.exec_driver_sql(statement.format(id=number))
        except DBAPIError:
            return

    # ---- what must hold

    @invariant()
    def history_and_stage_agree(self) -> None:
        """Each line starts where the one before ended, and the last ended where the piece stands."""
        stages: dict[int, str] = {}
        lines = self.ask('SELECT piece_id, start, "to" FROM history ORDER BY id')
        for piece, start, to in lines:
            assert start == stages.get(piece)
            stages[piece] = to
        assert stages == dict(map(tuple, self.ask("SELECT id, stage FROM pieces")))
        assert len(lines) >= self.lines
        self.lines = len(lines)

    @invariant()
    def a_code_is_given_once_and_for_good(self) -> None:
        """A piece that has a code keeps it, nobody else gets it, and from the bisque on each has one."""
        now = {piece: code for piece, code in self.ask("SELECT id, code FROM pieces") if code}
        assert self.codes.items() <= now.items()
        assert len(set(now.values())) == len(now)
        self.codes = now

    @invariant()
    def nobody_waits_for_what_would_ruin_them(self) -> None:
        """By cones and uses alone: nothing waits too hot, indoors in outdoor glaze, or for food where none is made."""
        worn: dict[int, list[str]] = {}
        for piece, glaze in self.ask("SELECT l.piece_id, g.name FROM layers l JOIN glazes g ON g.id = l.glaze_id"):
            worn.setdefault(piece, []).append(glaze)
        for piece, clay, use, route, heat in self.ask(
            "SELECT p.id, c.name, p.use, w.route, coalesce(f.heat, r.heat) FROM pieces p "
            "JOIN clays c ON c.id = p.clay_id JOIN waiting w ON w.piece_id = p.id JOIN routes r ON r.name = w.route "
            "LEFT JOIN loaded l ON l.piece_id = p.id LEFT JOIN firings f ON f.id = l.firing_id"
        ):
            body = STUDIO.catalog.clays[clay]
            glazes = [STUDIO.catalog.glazes[name] for name in worn.get(piece, [])]
            assert heat <= min([body.cone_high.rank, *(glaze.cone_high.rank for glaze in glazes)])
            assert route == "raku" or all(glaze.family is not Family.OUTDOOR for glaze in glazes)
            assert route != "horsehair" or not glazes
            assert use != "food" or route not in {"raku", "horsehair"}
            assert use != "food" or all(glaze.food is not FoodStanding.DECORATIVE for glaze in glazes)


@pytest.mark.slow
def test_any_walk_leaves_every_piece_as_its_history_says_and_no_queue_wrong(fresh_url: Callable[[], str]) -> None:
    walk = type("Walk", (Walk,), {"fresh_url": staticmethod(fresh_url)})

    run_state_machine_as_test(
        walk,
        settings=settings(
            max_examples=7,
            stateful_step_count=50,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        ),
    )
