"""Through every door, by every hand, while the catalog changes: no queue ever holds what its rules refuse."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, Phase, assume, seed, settings
from hypothesis import strategies as some
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test
from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError

from tests.laws.test_any_walk import HARMFUL, WARNINGS, anybody, pots, tellings, whoever_decides
from tests.machine import ON_CI
from tests.staffed import EVERYBODY, PASSWORD, TOM, fired, glazed, open_studio, the_piece
from tests.studio import OUTCOMES, a_new_piece, a_studio
from tests.web.conftest import Clock, Visitor
from tracker.app import create_app
from tracker.cli import main
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.history import Request
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Foot, Stage, Use
from tracker.domain.refusals import Refusal
from tracker.domain.rules.engine import judge, judge_in
from tracker.domain.studio.catalog_changes import KINDS
from tracker.domain.studio.kilns import Atmosphere, Room, RouteKind
from tracker.domain.studio.materials import Family, FoodStanding, Trait, Zone
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.forms.entity import shown_entity
from tracker.forms.studio.settings_schema import PracticeSchema
from tracker.forms.studio.studio_file import CATALOG, write_studio
from tracker.settings import Settings
from tracker.store import backup as keeping
from tracker.usecases.firing import firings
from tracker.usecases.pieces import pieces, ware_shelves

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import Connection

    from tracker.domain.studio.catalog import Studio
    from tracker.domain.studio.catalog_changes import Thing
    from tracker.domain.studio.people import Person
    from tracker.domain.studio.settings import Practice
    from tracker.store.unit_of_work import Store

# Walks are long enough for a catalog to change under a queue. On the faster engine they go on, each by itself, until
# every door has been gone through and so many steps were taken. The second engine is there for its own locks.
LEAST_STEPS = 1500
LONGEST_WALK = {"sqlite": 400, "postgresql": 150}
MOST_WALKS = {"sqlite": 60, "postgresql": 1}
EVERYTHING_ANEW = 25
FEW = 8
REFUSED, NO_TOKEN, SERVER_ERROR = 400, 400, 500

_PLAIN = a_studio()
_CHAMBER = Room(round_mm=420, height_mm=380, clearance_mm=20)
STUDIO = replace(
    _PLAIN,
    catalog=replace(
        _PLAIN.catalog,
        kilns={
            name: replace(kiln, chamber=_CHAMBER, atmosphere=Atmosphere.OXIDATION)
            for name, kiln in _PLAIN.catalog.kilns.items()
        },
    ),
)
CLAYS, GLAZES = sorted(STUDIO.catalog.clays), sorted(STUDIO.catalog.glazes)
ROUTES, KILNS = sorted(STUDIO.catalog.routes), sorted(STUDIO.catalog.kilns)
RAKU = ("route", "raku")
WAYS = [(name, route) for name, kiln in sorted(STUDIO.catalog.kilns.items()) for route in sorted(kiln.routes)]
IN_WORK = (Stage.BISQUED, Stage.WAXED, Stage.GLAZED)
STEPS_FROM = {
    "wax": (Stage.BISQUED,),
    "wash off": (Stage.WAXED, Stage.GLAZED),
    "pull back": (Stage.QUEUED,),
    "find": (Stage.LOST,),
    "lose": (),
    "fire again": (Stage.FIRED,),
    "correct": (),
    "shelve": (),
}
"""Each step with the stages from which it may be taken; none where any will do."""
DOORS = frozenset(
    {
        *(
            "/p/-/registered/twice",
            "/pieces/new",
            "/p/-/glaze",
            "/p/-/known",
            "/p/-/ask",
            "/p/-/step queue",
            "/scan queue",
            "/scan/undo/-",
        ),
        *(f"/p/-/step {step}" for step in STEPS_FROM),
        *("/questions/-", "/firings", "/firings/-/in", "/firings/-/out/-", "/firings/-/light", "/firings/-/unload"),
        *("/outdoor/plan", "/outdoor/-/taps start", "/outdoor/-/taps pulled", "/outdoor/-/taps result"),
        *("/outdoor/-/end", "/pickup"),
        *(f"/catalog/{word}" for word in ("glaze", "clay", "route", "kiln", "practice", "file")),
        *(f"/catalog/{word}/retire" for word in ("glaze", "clay", "route")),
    }
)
"""What lets somebody do something to a piece, a queue, a kiln or the catalog."""
GUARDED = DOORS - {
    *("/firings", "/firings/-/out/-", "/firings/-/light", "/firings/-/unload", "/p/-/step shelve", "/pieces/new"),
    *("/outdoor/-/taps start", "/outdoor/-/taps pulled", "/outdoor/-/taps result", "/outdoor/-/end"),
}
"""Of these a walk is also refused; at the others it knocks only where it may come in."""
READY = (
    (("Still Water",), "mid-range", "Doorstep Buff"),
    (("Still Water", "Wet Slate"), "mid-range", "Middle Gray"),
    (("Plum Gloss",), "low-fire", "Roof Tile Red"),
    (("Iron Gate",), "high-fire", "Gravel Walk"),
    (("Ember Luster",), "raku", "Gravel Walk"),
)
"""Glazes that go together, what they are fired by, and a clay that stands it."""
COMMANDS = (
    ["import-roster", "ROSTER"],
    ["tags", "REF", "--out", "TAGS"],
    ["check"],
    ["change-studio", "STUDIO", "--yes"],
)
SESSION = {
    "opening": "lift-off",
    "pullers": "Tom",
    "lids": "Ines",
    "watches": "Ines",
    "hose": "Ada",
    "many-1": "2",
    "lid-1": "yes",
}
MOST_TAPPED = 3
"""Pieces of a round that are tapped at a time: the others burn on, as if their phone had no network."""
ROSTER = "name,email,section,role\nMira Tann,mira@studio.example,Thursday,student\n"

numbers = some.integers(0, 11)
routes = some.sampled_from(ROUTES)
cones = some.sampled_from([Cone.parse(text) for text in ("010", "06", "04", "5", "6", "9", "10")])
clay_changes: some.SearchStrategy[dict[str, Any]] = some.one_of(
    some.builds(dict, cone_high=cones), some.builds(dict, absorption_pct=some.sampled_from([0.5, 9.0]))
)
glaze_changes: some.SearchStrategy[dict[str, Any]] = some.one_of(
    some.builds(dict, cone_high=cones),
    some.builds(dict, family=some.sampled_from([Family.LOW_FIRE, Family.OUTDOOR, Family.OUTSIDE])),
    some.builds(dict, food=some.sampled_from([FoodStanding.DECLARED, FoodStanding.UNTESTED, FoodStanding.DECORATIVE])),
    some.builds(dict, traits=some.sampled_from([frozenset(), frozenset({Trait.CRACKLE}), frozenset({Trait.RUNNY})])),
)
kiln_changes: some.SearchStrategy[dict[str, Any]] = some.one_of(
    some.builds(dict, chamber=some.sampled_from([None, _CHAMBER, replace(_CHAMBER, height_mm=120)])),
    some.builds(dict, atmosphere=some.sampled_from(Atmosphere)),
    some.builds(dict, tongs_g=some.sampled_from([None, 500])),
)
corrected = some.sampled_from([Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED, Stage.FIRED])
practices = some.sampled_from(
    [
        COMMON_PRACTICE,
        replace(COMMON_PRACTICE, large_porcelain_mm=60),
        replace(COMMON_PRACTICE, food_absorption_pct=0.4),
    ]
)


class AllDoors(RuleBasedStateMachine):
    """A studio whose people come through the pages, the commands, an import, the catalog and the database itself."""

    fresh_url: Callable[[], str]
    folder: Path
    taken = 0
    held = 0
    wanted: Collection[tuple[str, bool]]
    answers: Counter[tuple[str, bool]]

    def __init__(self) -> None:
        """Open a fresh studio, and a browser for each of its people."""
        super().__init__()
        self.url = self.fresh_url()
        open_studio(self.url, STUDIO).close()
        self.clock = Clock()
        app = create_app(Settings(database=self.url), self.clock, Random(23).randrange)  # noqa: S311 -- the same codes in every walk
        app.testing = True
        self.store: Store = app.extensions["footring"].store
        self.hand = create_engine(self.url, isolation_level="AUTOCOMMIT")
        self.eyes: Connection = self.hand.connect()
        self.browsers = {person: Visitor(app.test_client()) for person in EVERYBODY}
        for person in EVERYBODY:
            self.sign_in(person)
        self.judged: set[tuple[object, ...]] = set()
        self.inside: defaultdict[str, set[str]] = defaultdict(set)
        self.steps = 0

    def teardown(self) -> None:
        """Check everything there is to check, and let go of the studio."""
        self.__class__.taken += self.steps
        self.eyes.close()
        self.hand.dispose()
        self.store.close()
        assert keeping.check(self.url) == ()

    @classmethod
    def still_wanted(cls) -> set[tuple[str, bool]]:
        """The doors that nobody has come through yet, or was refused at."""
        return set(cls.wanted) - cls.answers.keys()

    # ---- how they come in

    def ask(self, statement: str) -> list[Any]:
        """Rows, asked for by SQL alone."""
        return list(self.eyes.exec_driver_sql(statement).all())

    def some_ref(self, number: int, *stages: Stage) -> str:
        """What one of the pieces that changed last is called by: of three, two stand at one of the `stages`."""
        newest = "FROM pieces {} ORDER BY version DESC, id DESC LIMIT 12"
        among = ", ".join(f"'{stage}'" for stage in (stages if number % 3 else ()) or Stage)
        found = self.ask("SELECT id, code " + newest.format(f"WHERE stage IN ({among})"))
        found = found or self.ask("SELECT id, code " + newest.format(""))
        piece, code = found[number % len(found)]
        return code or f"W{piece}"

    def some_way(self, ref: str, number: int, route: str) -> str:
        """A way of firing: of three, two are one that the rules leave open to the piece, if any is."""
        piece = the_piece(self.store, ref)
        studio = self.store.read.catalog()
        ways = sorted(studio.routes.values(), key=lambda way: way.name)
        ways = [way for way in ways if way.kind is not RouteKind.BISQUE and number % 3]
        fits = [way.name for way in ways if not judge_in(studio, piece, way).of(Level.REFUSE)]
        return fits[number % len(fits)] if fits else route

    def post(self, by: Person, address: str, **sent: Any) -> None:  # noqa: ANN401 -- whatever a form holds
        """Send a form as somebody who is signed in; any answer will do but a fault."""
        fields = {name: value for name, value in sent.items() if value is not None}
        # A scan is answered with its status only where a script asks.
        asks = address == "/scan" or address.endswith("/in") or "/out/" in address
        how = {"headers": {"Accept": "application/json"}} if asks else {}
        answer = self.browsers[by].post(address, fields, **how)
        if "/sign-in" in answer.headers.get("Location", ""):
            self.sign_in(by)
            answer = self.browsers[by].post(address, fields, **how)
        if asked := re.search(r'name="cone_asked" value="([^"]+)"', answer.text):
            # Whatever cone it is, this walker says that it is right as it is, which is offered last.
            meant = re.findall(r'name="cone_meant" value="([^"]+)"', answer.text)[-1]
            answer = self.browsers[by].post(address, {**fields, "cone_asked": asked[1], "cone_meant": meant}, **how)
        assert answer.status_code < SERVER_ERROR, answer.text
        assert answer.status_code != NO_TOKEN, answer.text
        self.answers[door(address, fields), answer.status_code < REFUSED] += 1
        if address.startswith("/firings/") and asks and answer.status_code < REFUSED:
            self.carry(address, answer.get_json())
        self.look()

    def carry(self, address: str, said: dict[str, Any]) -> None:
        """Do with the pot what the kiln's page said: put it in at GO, keep it out at any other word.

        A pot that is scanned again where it is stays where it is.
        """
        if said.get("again"):
            return
        inside = self.inside[address.split("/")[2]]
        if said["word"] == "GO":
            inside.add(said["code"])
        else:
            inside.discard(said["code"])

    def sign_in(self, who: Person) -> None:
        """Sign somebody in at a browser of their own."""
        visitor = self.browsers[who]
        visitor.get("/sign-in")
        visitor.post("/sign-in", {"email": who.email, "password": PASSWORD})
        assert visitor.get("/password").status_code == 200

    @contextmanager
    def refusable(self) -> Iterator[None]:
        """Let a refusal be an answer."""
        try:
            yield
        except Refusal:
            return

    def request(self, by: Person) -> Request:
        """A request by somebody at the moment that the clock shows."""
        return Request(uuid4(), by, self.clock())

    @initialize(anything=some.integers(0, 2**32))
    def begin(self, anything: int) -> None:
        """Some pieces are glazed, and most of them wait already; some were fired before, and one was lost.

        Hypothesis begins with the dullest walk of all, one step over and over, which is passed over.
        """
        assume(anything)
        ware_shelves.add_shelf(self.store, self.request(TOM), "rack 3")
        for _ in range(3):
            fired(self.store)
        pieces.lose(self.store, self.request(TOM), glazed(self.store), "broken")
        for names, route, clay in READY:
            ref = glazed(self.store, *names, new=a_new_piece(clay=clay))
            with self.refusable():
                pieces.queue(self.store, self.request(TOM), ref, route, accepts=WARNINGS)

    # ---- the pages

    @rule(
        by=anybody,
        pot=pots,
        form=some.sampled_from(["open", "open", "hole", "sealed"]),
        weight=some.sampled_from(["700 g", "700 g", "4600 g"]),
    )
    def register(self, by: Person, pot: NewPiece, form: str, weight: str) -> None:
        """Somebody enters a piece on its page."""
        told = {name: getattr(pot, name) for name in ("what", "clay", "build", "use")}
        measures = {name: f"{getattr(pot, f'{name}_mm')} mm" for name in ("height", "width", "depth")}
        ticked = [name for name in ("fragile", "burnished", "mended", "nests", "arrives_bisqued") if getattr(pot, name)]
        known = {"weight": weight, "wall": "26 mm" if pot.fragile else "6 mm", "form": form}
        self.post(by, "/pieces/new", **told, **measures, **known, **dict.fromkeys(ticked, "yes"))

    @rule(
        by=anybody,
        number=numbers,
        glaze=some.sampled_from(GLAZES),
        zone=some.sampled_from([Zone.OUTSIDE, Zone.INSIDE, Zone.FOOT]),
        foot=some.sampled_from([Foot.WAXED, Foot.WIPED, Foot.STILTED, Foot.BARE]),
    )
    def glaze(self, by: Person, number: int, glaze: str, zone: Zone, foot: Foot) -> None:
        """Somebody puts a glaze on at the glaze table's page."""
        self.post(by, f"/p/{self.some_ref(number, *IN_WORK)}/glaze", glaze=glaze, zone=zone, foot=foot)

    @rule(by=anybody, number=numbers, told=tellings)
    def set_right(self, by: Person, number: int, told: Told) -> None:
        """Somebody puts right what is known of a piece, on its page."""
        facts = {"use": told.use, "foot": told.foot, "form": {True: "open", False: "sealed"}.get(told.vented or False)}
        measures = {
            "height": told.height_mm and f"{told.height_mm} mm",
            "weight": told.weight_g and f"{told.weight_g} g",
        }
        ticked = {"mended": "yes" if told.mended else None, "catch_plate": told.catch_plate and "yes"}
        self.post(by, f"/p/{self.some_ref(number, Stage.QUEUED, *IN_WORK)}/known", **facts, **measures, **ticked)

    @rule(by=anybody, number=numbers, another=numbers)
    def merge(self, by: Person, number: int, another: int) -> None:
        """Somebody says that two registrations are one piece: what stays stands no more heat than either of both."""
        ref = self.some_ref(number, Stage.QUEUED)
        gone = self.some_ref(another, *IN_WORK)
        stays, other = the_piece(self.store, ref), the_piece(self.store, gone)
        self.post(by, f"/p/{ref}/registered/twice", other=gone, other_seen=other.version, sure="yes")
        if stays.id != other.id and self.store.read.pieces.leads_to(other.id) == stays.id:
            now = the_piece(self.store, ref)
            assert now.ceiling <= other.ceiling
            assert now.is_outdoor_only or not other.is_outdoor_only
            if now.route:
                worn = replace(now, clay=other.clay, layers=other.layers if other.has_glaze else now.layers).at(
                    self.clock()
                )
                studio = self.store.read.catalog()
                assert not judge_in(studio, worn, studio.routes[now.route]).of(Level.REFUSE)

    @rule(by=anybody, number=numbers, route=routes)
    def queue_by_page(self, by: Person, number: int, route: str) -> None:
        """Somebody puts a piece in a queue from its own page, whatever the warnings."""
        ref = self.some_ref(number, Stage.GLAZED)
        way = self.some_way(ref, number, route)
        self.post(by, f"/p/{ref}/step", step="queue", ref=ref, route=way, accepts=sorted(WARNINGS))
        if number == 1:
            self.step(by, number, "pull back", Stage.GLAZED)

    @rule(by=whoever_decides, number=numbers, route=routes)
    def queue_by_scan(self, by: Person, number: int, route: str) -> None:
        """Somebody scans a piece into a queue."""
        ref = self.some_ref(number, Stage.GLAZED)
        way = self.some_way(ref, number, route)
        self.post(by, "/scan", step="queue", ref=ref, route=way, accepts=sorted(WARNINGS))

    @rule(by=anybody, number=numbers, step=some.sampled_from(["wax", "wash off", "pull back", "shelve"]))
    def step_in_work(self, by: Person, number: int, step: str) -> None:
        """Somebody takes a step with a piece that is in work."""
        self.step(by, number, step, Stage.BISQUED)

    @rule(by=anybody, number=numbers, step=some.sampled_from(["find", "lose", "fire again"]))
    def step_at_the_end(self, by: Person, number: int, step: str) -> None:
        """Somebody takes a step with a piece that is lost, found or fired."""
        self.step(by, number, step, Stage.FIRED)

    @rule(by=whoever_decides, number=numbers, to=corrected)
    def correct(self, by: Person, number: int, to: Stage) -> None:
        """Somebody says that a piece stands elsewhere than on record."""
        self.step(by, number, "correct", to)

    def step(self, by: Person, number: int, step: str, to: Stage) -> None:
        """Take a step from the page of a piece."""
        ref = self.some_ref(number, *STEPS_FROM[step])
        self.post(by, f"/p/{ref}/step", step=step, ref=ref, to=to, cause="broken", reason="it was so", place="rack 3")

    @rule(by=anybody)
    def undo(self, by: Person) -> None:
        """Somebody takes back the last step there was."""
        ((last,),) = self.ask("SELECT max(id) FROM history")
        self.post(by, f"/scan/undo/{last}")

    @rule(by=anybody, number=numbers, route=routes, answered_by=some.none() | whoever_decides)
    def ask_about(self, by: Person, number: int, route: str, answered_by: Person | None) -> None:
        """Somebody puts a question on a piece, and perhaps somebody is there who answers."""
        self.post(by, f"/p/{self.some_ref(number)}/ask", text="May it?", route=route)
        if answered_by:
            self.answer(answered_by, allows=number % 2 == 0)

    @rule(by=whoever_decides, allows=some.booleans())
    def answer_later(self, by: Person, *, allows: bool) -> None:
        """Somebody answers what was asked before."""
        self.answer(by, allows=allows)

    def answer(self, by: Person, *, allows: bool) -> None:
        """Answer the oldest open question."""
        for (question,) in self.ask("SELECT min(id) FROM questions WHERE answered_at IS NULL"):
            self.post(by, f"/questions/{question or 1}", text="Yes or no.", allows="yes" if allows else "no")

    @rule(
        by=whoever_decides,
        number=numbers,
        way=some.sampled_from(WAYS) | some.tuples(some.sampled_from(KILNS), routes),
        cone=some.none() | cones,
        burns=some.booleans(),
    )
    def load(self, by: Person, number: int, way: tuple[str, str], cone: Cone | None, *, burns: bool) -> None:
        """Somebody starts a firing, of three two that a piece waits for, and puts in what belongs there and more.

        The kiln is fired at once, or somebody takes a piece out of it again.
        """
        waiting = {route for (route,) in self.ask("SELECT DISTINCT route FROM waiting")} if number % 3 else ()
        asked_for = [one for one in WAYS if one[1] in waiting]
        kiln, route = asked_for[number % len(asked_for)] if asked_for else way
        self.post(by, "/firings", at=f"{kiln} / {route}", target=str(cone or ""))
        for firing, asked in self.ask(
            "SELECT id, route FROM firings WHERE unloaded_at IS NULL AND session_id IS NULL ORDER BY id DESC LIMIT 1"
        ):
            for piece, code in self.ask(
                "SELECT id, code FROM pieces LEFT JOIN waiting ON piece_id = id "
                f"ORDER BY CASE WHEN coalesce(route, 'bisque') = '{asked}' THEN 0 ELSE 1 END, "
                "CASE WHEN pieces.stage = 'greenware' THEN 0 ELSE 1 END, version DESC LIMIT 5"
            ):
                self.post(by, f"/firings/{firing}/in", ref=code or f"W{piece}", dry="yes")
            inside = sorted(self.inside[str(firing)])
            if burns and inside:
                self.fire(by, firing, inside, Outcome.GOOD)
            elif inside:
                self.post(by, f"/firings/{firing}/out/{inside[0]}")

    @rule(by=whoever_decides)
    def take_out(self, by: Person) -> None:
        """Somebody takes a piece out of the oldest firing that holds any."""
        for firing, ref in self.inside_oldest()[:1]:
            self.post(by, f"/firings/{firing}/out/{ref}")

    @rule(by=whoever_decides, outcome=some.sampled_from(OUTCOMES))
    def unload(self, by: Person, outcome: Outcome) -> None:
        """Somebody fires what was loaded first, and unloads it."""
        if inside := self.inside_oldest():
            self.fire(by, inside[0][0], [ref for _, ref in inside], outcome)
        else:
            self.close_empty(by)

    def inside_oldest(self) -> list[tuple[int, str]]:
        """The pieces in the oldest firing that holds any, each with the firing's number."""
        inside = self.ask("SELECT l.firing_id, p.id, p.code FROM loaded l JOIN pieces p ON p.id = piece_id ORDER BY 1")
        return [(firing, code or f"W{piece}") for firing, piece, code in inside if firing == inside[0][0]]

    def fire(self, by: Person, firing: int, refs: list[str], outcome: Outcome) -> None:
        """Start a kiln, mark it as off, and unload it."""
        self.post(by, f"/firings/{firing}/light")
        self.post(by, f"/firings/{firing}/off")
        self.post(by, f"/firings/{firing}/unload", fired="yes", **{f"outcome-{ref}": str(outcome) for ref in refs})

    @rule(by=whoever_decides, number=numbers)
    def take_what_is_unfit_out(self, by: Person, number: int) -> None:
        """Somebody takes a piece out of a kiln because a change made it unfit, and confirms it on the firing's page."""
        found = self.ask("SELECT p.id, p.code, v.firing_id FROM leaving v JOIN pieces p ON p.id = v.piece_id")
        for piece, code, firing in found[number % 3 : number % 3 + 1]:
            ref = code or f"W{piece}"
            address, sent = (f"out/{ref}", {}) if number % 2 else ("in", {"ref": ref, "dry": "yes"})
            self.post(by, f"/firings/{firing}/{address}", **sent)

    def close_empty(self, by: Person) -> None:
        """Close a firing in which nothing stands, so that its kiln is free again."""
        for (number,) in self.ask("SELECT min(id) FROM firings WHERE unloaded_at IS NULL"):
            with self.refusable():
                firings.call_off(self.store, self.request(by), number or 1)
            self.look()

    @rule(by=whoever_decides, goes_on=some.booleans(), kiln=some.sampled_from(["Yard drum", "Yard drum", "Back box"]))
    def plan_session(self, by: Person, kiln: str, *, goes_on: bool) -> None:
        """Somebody plans an outdoor session from all that waits, today, and perhaps fires its first round at once."""
        day, begins = f"{self.clock():%Y-%m-%d}", f"{self.clock():%H:%M}"
        self.post(by, "/outdoor/plan", **SESSION, kiln=kiln, day=day, begins=begins)
        if goes_on:
            self.go_round(by, Outcome.GOOD, "end")

    @rule(by=whoever_decides, outcome=some.sampled_from(OUTCOMES), stops=some.sampled_from(["start", "pulled", "end"]))
    def run_round(self, by: Person, outcome: Outcome, stops: str) -> None:
        """Somebody taps the newest round through, or leaves it burning; whoever comes later goes on with it."""
        self.go_round(by, outcome, stops)

    def go_round(self, by: Person, outcome: Outcome, stops: str) -> None:
        """Tap the newest round to where it stops."""
        for firing, session in self.ask(
            "SELECT id, session_id FROM firings WHERE session_id IS NOT NULL AND unloaded_at IS NULL "
            "ORDER BY id DESC LIMIT 1"
        ):
            refs = [
                code
                for table in ("planned", "loaded")
                for (code,) in self.ask(
                    f"SELECT code FROM pieces JOIN {table} ON piece_id = id WHERE firing_id = {firing}"
                )
            ]
            refs = refs[:MOST_TAPPED]
            tapped: list[tuple[str, str, dict[str, Any]]] = [("start", "", {"inside": refs})]
            tapped.extend(("pulled", ref, {}) for ref in refs)
            ended = [("result", ref, {"value": str(outcome)}) for ref in refs]
            for did, ref, more in {"start": tapped[:1], "pulled": tapped}.get(stops, [*tapped, *ended]):
                self.post(by, f"/outdoor/{session}/taps", did=did, firing=firing, piece=ref, **more)
            if stops == "end":
                self.post(by, f"/outdoor/{session}/end")

    @rule(by=anybody, number=numbers, kind=some.sampled_from(["tags", "care", "pickup-slip"]))
    def print_at_the_desk(self, by: Person, number: int, kind: str) -> None:
        """Somebody prints a piece's paper."""
        self.post(by, f"/paper/{kind}", things=self.some_ref(number), stock="Roll, 100 x 50 mm")

    @rule(by=anybody, number=numbers)
    def hand_over(self, by: Person, number: int) -> None:
        """Somebody takes a piece home."""
        self.post(by, "/pickup", ref=self.some_ref(number))

    # ---- the catalog and the import

    @rule(by=whoever_decides, name=some.sampled_from(GLAZES), facts=glaze_changes, confirmed=some.booleans())
    def change_glaze(self, by: Person, name: str, facts: dict[str, Any], *, confirmed: bool) -> None:
        """Somebody changes a glaze that pieces wear."""
        self.change(by, self.store.read.catalog().glazes[name], facts, confirmed=confirmed)

    @rule(by=whoever_decides, name=some.sampled_from(CLAYS), facts=clay_changes, confirmed=some.booleans())
    def change_clay(self, by: Person, name: str, facts: dict[str, Any], *, confirmed: bool) -> None:
        """Somebody changes a clay that pieces are made of."""
        self.change(by, self.store.read.catalog().clays[name], facts, confirmed=confirmed)

    @rule(by=whoever_decides, name=routes, cone=cones, confirmed=some.booleans())
    def change_route(self, by: Person, name: str, cone: Cone, *, confirmed: bool) -> None:
        """Somebody changes the heat of a way of firing."""
        self.change(by, self.store.read.catalog().routes[name], {"cone": cone}, confirmed=confirmed)

    @rule(by=whoever_decides, name=some.sampled_from(KILNS), facts=kiln_changes, confirmed=some.booleans())
    def change_kiln(self, by: Person, name: str, facts: dict[str, Any], *, confirmed: bool) -> None:
        """Somebody changes a kiln."""
        self.change(by, self.store.read.catalog().kilns[name], facts, confirmed=confirmed)

    def change(self, by: Person, thing: Thing, facts: dict[str, Any], *, confirmed: bool) -> None:
        """Change one thing of the catalog on its page; its lower cone goes down with its upper one."""
        if (high := facts.get("cone_high")) is not None:
            facts = {**facts, "cone_low": min(high, thing.cone_low)}  # type: ignore[union-attr]  # only clays and glazes have it
        sort = KINDS[type(thing)]
        wanted = shown_entity(CATALOG[sort], replace(thing, **facts))
        self.decide(by, f"/catalog/{sort}", {**wanted, "old": thing.name}, confirmed=confirmed)

    def decide(self, by: Person, address: str, sent: dict[str, Any], *, confirmed: bool) -> None:
        """Send a form of the catalog as it stands now, perhaps with leave to move pieces."""
        self.judged.clear()
        self.post(by, address, **sent, seen=self.store.read.version(), confirmed="yes" if confirmed else None)

    @rule(
        by=whoever_decides,
        what=some.sampled_from(
            [("glaze", "Iron Gate"), ("glaze", "Still Water"), ("clay", CLAYS[0]), ("route", "raku")]
        ),
        confirmed=some.booleans(),
    )
    def retire(self, by: Person, what: tuple[str, str], *, confirmed: bool) -> None:
        """Somebody takes something out of use, or back into it."""
        sort, name = what
        self.decide(by, f"/catalog/{sort}/retire", {"name": name}, confirmed=confirmed)

    @rule(by=whoever_decides, practice=practices, confirmed=some.booleans())
    def settle_practice(self, by: Person, practice: Practice, *, confirmed: bool) -> None:
        """Somebody settles the studio's own numbers."""
        self.decide(by, "/catalog/practice", dict(shown_entity(PracticeSchema, practice)), confirmed=confirmed)

    @rule(by=whoever_decides, leaves_out=some.none() | some.sampled_from(GLAZES), confirmed=some.booleans())
    def import_on_page(self, by: Person, leaves_out: str | None, *, confirmed: bool) -> None:
        """Somebody imports the studio's file on its page, perhaps with a glaze left out."""
        sent = {"text": write_studio(without(leaves_out)), "take": "yes"}
        self.decide(by, "/catalog/file", sent, confirmed=confirmed)

    # ---- the commands and the database

    @rule(words=some.sampled_from(COMMANDS), number=numbers, leaves_out=some.none() | some.sampled_from(GLAZES))
    def command(self, words: list[str], number: int, leaves_out: str | None) -> None:
        """Somebody types a command: a refusal is an answer, and a fault is none."""
        roster, studio = self.folder / "roster.csv", self.folder / "studio.toml"
        roster.write_text(ROSTER, encoding="utf-8")
        studio.write_text(write_studio(without(leaves_out)), encoding="utf-8")
        tags = str(self.folder / "tags.pdf")
        told = {"ROSTER": str(roster), "STUDIO": str(studio), "TAGS": tags, "REF": self.some_ref(number)}
        typed = [told.get(word, word) for word in words]
        self.judged.clear()
        done = CliRunner().invoke(main, ["--database", self.url, *typed])
        assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
        self.look()

    @rule(number=some.integers(1, 12), statement=some.sampled_from(HARMFUL))
    def meddle(self, number: int, statement: str) -> None:
        """Somebody tries by SQL."""
        self.judged.clear()
        with suppress(DBAPIError):
            self.eyes.exec_driver_sql(statement.format(id=number))
        self.look()

    @rule(hours=some.sampled_from([1, 4, 20]), ready=some.sampled_from(READY))
    def wait(self, hours: int, ready: tuple[tuple[str, ...], str, str]) -> None:
        """Time passes, what was glazed dries, and where little is left to do somebody brings another piece."""
        self.clock.pass_by(hours=hours)
        ((left,),) = self.ask("SELECT count(*) FROM pieces WHERE stage IN ('glazed', 'queued')")
        if left < FEW:
            with self.refusable():
                glazed(self.store, *ready[0], new=a_new_piece(clay=ready[2]))
        self.look()

    # ---- what must hold

    def look(self) -> None:
        """After each step: no queue and no kiln holds what its rules refuse.

        Judged anew is whatever changed since it was judged last, and every so often everything.
        """
        self.steps += 1
        if self.steps % EVERYTHING_ANEW == 0:
            self.judged.clear()
        held = self.ask(
            "SELECT p.id, p.version, w.route, l.firing_id FROM pieces p LEFT JOIN waiting w ON w.piece_id = p.id "
            "LEFT JOIN loaded l ON l.piece_id = p.id WHERE w.piece_id IS NOT NULL OR l.piece_id IS NOT NULL"
        )
        self.__class__.held += len(held)
        now = {tuple(row): row[0] for row in held}
        if new := [piece for row, piece in now.items() if row not in self.judged]:
            self.judge(new)
        self.judged = set(now)
        for firing, stage, inside in self.ask(
            "SELECT f.id, f.stage, count(l.piece_id) FROM firings f JOIN loaded l ON l.firing_id = f.id "
            "WHERE f.session_id IS NULL AND f.stage IN ('firing', 'cooling') GROUP BY f.id, f.stage"
        ):
            assert inside == len(self.inside[str(firing)]), (firing, stage, self.inside[str(firing)])

    def judge(self, ids: list[int]) -> None:
        """Hold these pieces to the rules of their queue, and of the kiln that they stand in."""
        studio = self.store.read.catalog()
        for row in self.store.read.pieces.by_ids(ids):
            piece = row.piece.at(self.clock())
            if piece.route:
                verdict = judge_in(studio, piece, studio.routes[piece.route])
                assert not verdict.of(Level.REFUSE), (row.ref, piece.route, verdict)
                assert piece.stage is Stage.QUEUED
            if row.firing_id is not None:
                firing = self.store.read.firings.firing(row.firing_id)
                assert firing is not None
                way, kiln = studio.routes[firing.route.name], studio.kilns[firing.kiln.name]
                bisques = (one for one in studio.routes.values() if one.kind is RouteKind.BISQUE and kiln.serves(one))
                own = studio.routes[piece.route] if piece.route else next(bisques)
                verdict = judge(piece, own.at(firing.target), studio.practice, kiln)
                assert not verdict.of(Level.REFUSE), (row.ref, firing, verdict)
                assert own == way or {own.kind, way.kind} <= {RouteKind.BISQUE, RouteKind.SHELF}
                assert own == way or kiln.serves(own)
                assert (piece.stage is Stage.GREENWARE) == (own.kind is RouteKind.BISQUE)
                assert way.is_pulled_hot == (firing.session_id is not None)
                assert not (way.is_pulled_hot and piece.use is Use.FOOD)


def door(address: str, fields: dict[str, Any]) -> str:
    """The door that a form goes through: its address without names and numbers, and the step or tap it asks for."""
    way = re.sub(r"/p/[^/]+", "/p/-", re.sub(r"/\d+", "/-", address))
    way = re.sub(r"/out/[^/]+", "/out/-", way)
    return " ".join([way, *(fields[name] for name in ("step", "did") if name in fields)])


def without(glaze: str | None) -> Studio:
    """The studio as its file says it, with this glaze left out."""
    kept = {name: one for name, one in STUDIO.catalog.glazes.items() if name != glaze}
    return replace(STUDIO, catalog=replace(STUDIO.catalog, glazes=kept))


@pytest.mark.slow
def test_no_door_lets_into_a_queue_what_its_rules_refuse(
    fresh_url: Callable[[], str],
    tmp_path: Path,
    quick_pages: None,
    request: pytest.FixtureRequest,
) -> None:
    engine = request.node.callspec.params["fresh_url"]

    class Doors(AllDoors):
        """The same doors, of studios on one engine."""

    Doors.fresh_url, Doors.folder = staticmethod(fresh_url), tmp_path
    Doors.answers = Counter()
    Doors.wanted = {*((way, True) for way in DOORS), *((way, False) for way in GUARDED)} if engine == "sqlite" else ()
    for turn in range(MOST_WALKS[engine]):
        # On CI the walks are the same every time, but no two turns are.
        run_state_machine_as_test(
            seed(turn)(Doors) if ON_CI else Doors,
            settings=settings(
                max_examples=1,
                stateful_step_count=LONGEST_WALK[engine],
                deadline=None,
                phases=(Phase.generate, Phase.shrink),
                suppress_health_check=list(HealthCheck),
            ),
        )
        if Doors.taken >= LEAST_STEPS and not Doors.still_wanted():
            break

    # Walks past closed doors and through empty queues would show nothing.
    assert Doors.still_wanted() == set()
    assert Doors.held >= Doors.taken
