"""Every page there is, for everybody who may open it: nothing for axe-core, nothing too wide, nothing too small."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from flask import Flask

from printing.labels.stock import STOCKS
from tests.journeys.looking import faults, sticks_out
from tests.journeys.visiting import NOW, PHONE, TABLET, Visits, answered, scan
from tests.photographed import photographed
from tests.staffed import ADA, INES, MIRA, TOM, asked_by, bisqued, fired, glazed, open_studio, queued, started
from tests.studio import NOON, a_new_piece
from tests.yard import fire_round, planned_session, refs_in, tap, the_session
from tracker.app import create_app
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import Outcome
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.results import Air, Mark, Smoke
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.studio.kilns import Furniture, Room
from tracker.domain.studio.people import RIGHTS, Person, Right, Role
from tracker.forms.firing.curve_file import read_curve_file
from tracker.settings import Settings
from tracker.usecases.firing import firings
from tracker.usecases.firing import logs as firing_logs
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.labels import tags
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.pieces import pickup, pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog as catalogue
from tracker.web.studio import manual

VISITORS: dict[str, Person | None] = {"stranger": None, "student": INES, "staff": TOM, "instructor": ADA}

# Each page with the addresses under which it looks different; {names} are those of the pieces laid out below.
PAGES: dict[str, tuple[str, ...]] = {
    "signing_in.sign_in": ("/sign-in",),
    "signing_in.password": ("/password",),
    "studio.changes": ("/changes",),
    "studio.contents": ("/help", "/help?q=cone", "/help?q=nothing+here"),
    "studio.explained": ("/help/rules", "/help/studio-settings", "/help/judge"),
    "pieces.mine": ("/pieces", "/pieces?finished=1"),
    "pieces.new": ("/pieces/new",),
    "pieces.slip": ("/slip/{slip}",),
    "pieces.piece": ("/p/{bisqued}", "/p/{glazed}", "/p/{queued}", "/p/{fired}", "/p/{lost}"),
    "known.known": ("/p/{bisqued}/known", "/p/{glazed}/known?foot=wiped", "/p/{queued}/known"),
    "pieces.glazing": ("/p/{bisqued}/glaze", "/p/{glazed}/glaze?show=refuse", "/p/{queued}/glaze"),
    "paper.paper": ("/paper",),
    "stock.stock": ("/paper/stock",),
    "stock.alignment": ("/paper/alignment", "/paper/alignment?stock=Roll,+57+x+32+mm"),
    "printed.jobs": ("/printed",),
    "printed.job": ("/printed/{printed}",),
    "paper.choose": (
        "/paper/tags",
        "/paper/tags?ref={queued}",
        "/paper/tags?ref={queued}&ref={fired}&stock=Roll,+57+x+32+mm",
        "/paper/shelves",
        "/paper/buckets",
        "/paper/kiln-doors",
        "/paper/containers",
        "/paper/badges",
        "/paper/care?ref={fired}",
        "/paper/not-for-food?ref={fired}",
        "/paper/pickup-slip?ref={fired}",
    ),
    "scanning.scan": (
        "/scan",
        "/scan?step=queue&route=raku",
        "/scan?step=lose&cause=broken",
        "/scan?step=shelve&place=rack+3",
    ),
    "waiting.waiting": ("/waiting", "/waiting?route=raku"),
    "outdoor.outdoor": ("/outdoor",),
    "sessions.plan": ("/outdoor/plan",),
    "sessions.session": ("/outdoor/{done_outdoors}", "/outdoor/{session}"),
    "sessions.facts": ("/outdoor/{session}/facts",),
    "sessions.choosing": ("/outdoor/{session}/pieces",),
    "running.run": ("/outdoor/{session}/run",),
    "examples.examples": ("/outdoor/examples", "/outdoor/examples?air=even"),
    "examples.broken": ("/outdoor/losses",),
    "firings.firings": ("/firings",),
    "firings.firing": ("/firings/{planned}", "/firings/{loading}", "/firings/{lit}", "/firings/{bisque}"),
    "firings.unloading": ("/firings/{lit}/unload",),
    "plans.plan": ("/firings/plan",),
    "fires.log": ("/firings/{lit}/log",),
    "fires.cones": ("/firings/{lit}/cones",),
    "fires.cost": ("/firings/{lit}/cost",),
    "pickup.pickup": ("/pickup", "/pickup?ref={fired}", "/pickup?ref=Mira", "/pickup?ref=22222"),
    "photos.look": ("/photos/{photo}",),
    "whose.whose": (
        "/whose",
        "/whose?height=120",
        "/whose?height=120&clay=stoneware&build=thrown&stage=fired",
        "/whose?width=9",
    ),
    "questions.questions": ("/questions",),
    "catalogue.catalogue": ("/catalogue",),
    "catalogue.thing": (
        "/catalogue/glaze/form",
        "/catalogue/glaze/form?name=Still+Water",
        "/catalogue/clay/form?name=Doorstep+Buff",
        "/catalogue/route/form?name=raku",
        "/catalogue/kiln/form?name=Yard+drum",
    ),
    "catalogue.leaving": ("/catalogue/glaze/retire?name=Still+Water", "/catalogue/route/retire?name=mid-range"),
    "catalogue.practice": ("/catalogue/practice",),
    "catalogue.file": ("/catalogue/file",),
    "evidence.evidence": ("/evidence",),
    "people.people": ("/people",),
    "people.person": ("/people/3",),
}
# One page asks for every kind of paper, and each kind has a right of its own.
PAPERS = {
    "/paper/shelves": Right.MOVE,
    "/paper/buckets": Right.MOVE,
    "/paper/kiln-doors": Right.FIRE,
    "/paper/containers": Right.FIRE,
    "/paper/badges": Right.PEOPLE,
    "/paper/pickup-slip": Right.HAND_OVER,
}
# It only leads to the page that each role starts from.
LEADS_ON = {"signing_in.first_page", "static"}
# What is downloaded is no page.
FILES = {
    *("photos.picture", "catalogue.export", "catalogue.chart", "plans.sheet", "firings.door"),
    *("sessions.sheet", "running.story", "running.worker"),
    *("printed.pdf", "printed.make", "stock.crosses"),
}


def _lay_out(visits: Visits) -> dict[str, object]:
    """Something of everything, so that no page is empty: by name the codes and numbers that addresses need."""
    store = visits.store
    slip = pieces.register(
        store, asked_by(INES), a_new_piece("jar with a lid and a rather long name", use=Use.FOOD)
    ).ref
    tiles = [pieces.register(store, asked_by(INES), a_new_piece(f"tile {count}")).ref for count in range(3)]
    bisque = started(store, "Front box", "bisque", "06")
    for tile in tiles:
        firings.put_in(store, asked_by(TOM), bisque, tile)
    firings.light(store, asked_by(TOM), bisque)
    firings.unload(
        store, asked_by(TOM), bisque, dict(zip(tiles, (Outcome.GOOD, Outcome.CRACKED, Outcome.BROKE), strict=True))
    )
    fired(store)
    ran, gone, waiting = (queued(store, new=a_new_piece(f"bowl {count}")) for count in range(3))
    asked = glazed(store, "Iron Gate", maker=INES)
    questions.ask(store, asked_by(INES), asked, "May it stay dry?", route="mid-range")
    sessions = _fired_outdoors(visits)
    wings = a_new_piece("moon jar", clay="Lantern White", build=Build.SLAB, height_mm=240, fragile=True)
    outdoors = glazed(store, "Ember Lustre", new=wings, maker=INES)
    accepted = {"porcelain-outdoors", "fragile-outdoors"}
    pieces.queue(store, asked_by(TOM, NOW), outdoors, "raku", accepts=accepted, place="yard shelf")
    questions.ask(store, asked_by(INES), outdoors, "Could it go in the second round?", route=None)
    first = started(store)
    for ref in (ran, gone):
        firings.put_in(store, asked_by(TOM), first, ref)
    firings.light(store, asked_by(TOM), first)
    firings.unload(store, asked_by(TOM), first, {ran: Outcome.RAN, gone: Outcome.GOOD})
    pickup.hand_over(store, asked_by(TOM), gone)
    loading = started(store)
    firings.put_in(store, asked_by(TOM), loading, waiting)
    queued(store)
    fired_of_ines = _fired_of_ines(visits)
    for ref in (asked, fired_of_ines, outdoors):
        photographed(store, ref, INES, "from above", width=300, height=400)
    return {
        **sessions,
        "slip": slip[1:],
        "photo": photographed(store, asked, TOM),
        "bisqued": bisqued(store, a_new_piece(use=Use.FOOD), maker=INES),
        "glazed": asked,
        "queued": outdoors,
        "fired": fired_of_ines,
        "lost": _lost(visits),
        "loading": loading,
        "planned": _planned(visits),
        "printed": tags.print_tags(store, asked_by(INES), [fired_of_ines], tags.Sheet(stock=STOCKS[0])).job,
        "lit": _lit(visits),
        "bisque": bisque,
    }


def _fired_outdoors(visits: Visits) -> dict[str, int]:
    """A session that was fired, told and weighed, and one that burns with a warned piece still to come."""
    store = visits.store
    for count in range(3):
        queued(store, "Ember Lustre", route="raku", new=a_new_piece(f"smoke jar {count}"))
    done = planned_session(store, starts_at=NOON)
    for number, _ in enumerate(the_session(store, done).rounds, start=1):
        for ref in fire_round(store, done, number, Outcome.CRACKED if number > 1 else Outcome.GOOD):
            firing = the_session(store, done).rounds[number - 1].id
            told = Mark(air=Air.MORE_FUEL, smoke=Smoke.HEAVY, colour="copper blush")
            outdoor_running.mark(store, asked_by(TOM, NOW), done, firing, ref, told)
    outdoor.end(store, asked_by(TOM, NOW), done, fuel_after_kg=15)
    for count in range(3):
        box = a_new_piece(f"ash box {count}", clay="Lantern White", build=Build.SLAB)
        pieces.queue(
            store, asked_by(TOM), glazed(store, "Ember Lustre", new=box), "raku", accepts={"porcelain-outdoors"}
        )
    burning = planned_session(store)
    tap(store, burning, Did.START, inside=tuple(refs_in(store, burning)))
    return {"done_outdoors": done, "session": burning}


def _planned(visits: Visits) -> int:
    """A firing of a measured kiln that is planned, with pictures of its load."""
    store = visits.store
    known = store.read.catalogue().kiln("Back box")
    shelves = Furniture(round_mm=400, halves=True, thickness_mm=20, posts_mm=(100, 150, 200))
    room = Room(height_mm=500, round_mm=440)
    catalogue.add(store, asked_by(ADA), replace(known, name="Round box", chamber=room, furniture=shelves))
    for count in range(3):
        queued(store, new=a_new_piece(f"plate {count}"))
    return int(firing_plans.plan(store, asked_by(TOM), "Round box", "mid-range", Cone.parse("6")).extra["firing"])


def _lit(visits: Visits) -> int:
    """A firing whose fire is on, with a log, witness cones and a cost."""
    store = visits.store
    known = store.read.catalogue().kiln("Back box")
    catalogue.add(store, asked_by(ADA), replace(known, name="Third box"))
    ref = queued(store, new=a_new_piece("moon vase"))
    number = started(store, "Third box")
    firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM, NOW - timedelta(hours=19)), number)
    steady = "minutes,°C\n" + "\n".join(f"{one * 15},{22 + one * 15}" for one in range(76))
    firing_logs.take_log(store, asked_by(TOM), number, read_curve_file(steady))
    firing_logs.note_witnesses(store, asked_by(TOM), number, [(1, WitnessCone(Cone.parse("5"), Stands.HALF))])
    firing_logs.note_cost(store, asked_by(TOM), number, kwh=71.5, cost_cents=1430)
    return number


def _fired_of_ines(visits: Visits) -> str:
    ref = glazed(visits.store, "Plum Gloss", maker=INES)
    pieces.queue(visits.store, asked_by(TOM), ref, "low-fire")
    firing = started(visits.store, "Front box", "low-fire", "04")
    firings.put_in(visits.store, asked_by(TOM), firing, ref)
    firings.light(visits.store, asked_by(TOM), firing)
    firings.unload(visits.store, asked_by(TOM), firing, {ref: Outcome.STUCK})
    return ref


def _lost(visits: Visits) -> str:
    ref = bisqued(visits.store, maker=INES)
    pieces.lose(visits.store, asked_by(TOM), ref, "broken")
    return ref


@pytest.fixture(scope="module")
def laid_out(visits: Visits) -> dict[str, object]:
    """The pieces and firings that the pages are about, and that no test of this file moves."""
    return _lay_out(visits)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, migrate: Callable[[str], None]) -> Flask:
    """The application, to ask it for its addresses."""
    database = f"sqlite:///{tmp_path_factory.mktemp('addresses') / 'studio.sqlite'}"
    migrate(database)
    open_studio(database).close()
    app = create_app(Settings(database=database))
    app.extensions["footring"].store.close()
    return app


def _rights() -> dict[str, Right | str]:
    """What opens each page; spelt out, so that a page whose door changes is looked at anew."""
    return {
        "signing_in.sign_in": "stranger",
        "signing_in.password": "anybody",
        **dict.fromkeys((f"studio.{name}" for name in ("changes", "contents", "explained")), "stranger"),
        "pieces.mine": Right.REGISTER,
        "pieces.new": Right.REGISTER,
        "pieces.slip": Right.SEE_OWN,
        "pieces.piece": Right.SEE_OWN,
        "pieces.glazing": Right.WORK_ON,
        "known.known": Right.WORK_ON,
        "stock.stock": Right.CATALOGUE,
        "stock.alignment": Right.SEE_OWN,
        "printed.jobs": Right.SEE_OWN,
        "printed.job": Right.SEE_OWN,
        "paper.paper": Right.SEE_OWN,
        "paper.choose": Right.SEE_OWN,
        "scanning.scan": Right.MOVE,
        "waiting.waiting": Right.MOVE,
        "outdoor.outdoor": Right.MOVE,
        **dict.fromkeys((f"sessions.{name}" for name in ("plan", "session", "facts", "choosing")), Right.FIRE),
        "running.run": Right.FIRE,
        "examples.examples": "anybody",
        "examples.broken": Right.MOVE,
        "firings.firings": Right.FIRE,
        "firings.firing": Right.FIRE,
        "firings.unloading": Right.FIRE,
        "plans.plan": Right.FIRE,
        **dict.fromkeys((f"fires.{name}" for name in ("log", "cones", "cost")), Right.FIRE),
        "pickup.pickup": Right.HAND_OVER,
        "photos.look": Right.SEE_OWN,
        "whose.whose": Right.SEE_ALL,
        "questions.questions": Right.DECIDE,
        **dict.fromkeys(
            (f"catalogue.{name}" for name in ("catalogue", "thing", "leaving", "practice", "file")), Right.CATALOGUE
        ),
        "evidence.evidence": Right.CATALOGUE,
        "people.people": Right.PEOPLE,
        "people.person": Right.PEOPLE,
    }


def _everybody_everywhere() -> list[tuple[str, str]]:
    """Each visitor with each address that opens for them."""
    roles = {"student": Role.STUDENT, "staff": Role.STAFF, "instructor": Role.INSTRUCTOR}
    return [
        (who, address)
        for endpoint, right in _rights().items()
        for who in VISITORS
        if (who == "stranger" if right == "stranger" else who != "stranger")
        and (not isinstance(right, Right) or roles[who] in RIGHTS[right])
        for address in PAGES[endpoint]
        if who == "stranger" or roles[who] in RIGHTS[PAPERS.get(address.partition("?")[0], Right.SEE_OWN)]
    ]


def test_no_page_is_forgotten_here(app: Flask) -> None:
    there = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in (rule.methods or ())}

    assert there - LEADS_ON - FILES == set(PAGES) == set(_rights())
    for endpoint, right in _rights().items():
        if isinstance(right, Right):
            assert vars(app.view_functions[endpoint])["allows"] == right


@pytest.mark.parametrize(("who", "address"), [pytest.param(*one, id=" ".join(one)) for one in _everybody_everywhere()])
def test_a_page_has_nothing_against_it(visits: Visits, laid_out: dict[str, object], who: str, address: str) -> None:
    page = visits.tab(VISITORS[who])

    answer = page.goto(address.format(**laid_out))

    assert answer is not None
    assert (answer.status, answer.request.redirected_from) == (200, None)
    assert faults(page) == {}


def test_no_page_of_the_manual_is_wider_than_a_window_that_is_just_too_wide_for_cards(visits: Visits) -> None:
    page = visits.tab(None)
    page.set_viewport_size({"width": 690, "height": 900})

    wide = {}
    for name in manual.pages():
        page.goto(f"/help/{name}")
        wide[name] = sticks_out(page)

    assert {name: found for name, found in wide.items() if found} == {}


@pytest.mark.parametrize("who", ["stranger", "student"])
def test_the_page_for_what_is_not_there_has_nothing_against_it(visits: Visits, who: str) -> None:
    page = visits.tab(VISITORS[who])

    answer = page.goto("/nowhere")

    assert answer is not None
    assert answer.status == 404
    assert faults(page) == {}


def test_a_form_with_problems_has_nothing_against_it(visits: Visits) -> None:
    page = visits.visit(TOM, "/pieces/new", viewport=PHONE)

    page.get_by_role("button", name="Register it").click()
    page.locator(".problems").wait_for()

    assert faults(page) == {}


def test_a_new_piece_with_every_way_it_could_go_has_nothing_against_it(visits: Visits) -> None:
    page = visits.visit(MIRA, "/pieces/new", viewport=PHONE)
    page.get_by_label("What is it?").fill("cup")
    page.get_by_label("Clay", exact=True).select_option("Lantern White")
    page.locator("label.choice", has_text="slab").click()
    page.locator("label.choice", has_text="to eat or drink from").click()
    for side in ("Height", "Width", "Depth"):
        page.get_by_label(side).fill("90")
    page.get_by_label("Weight").fill("300 g")
    page.get_by_label("Thickest wall").fill("7")
    page.locator("label.choice", has_text="a bowl, a cup, a tile").click()

    page.get_by_role("button", name="See where it could go").click()
    page.locator("#where").wait_for()

    assert faults(page) == {}


def test_every_kind_of_scan_line_has_nothing_against_it(visits: Visits) -> None:
    good, low = glazed(visits.store, "Ember Lustre"), glazed(visits.store, "Plum Gloss")
    needs = glazed(visits.store, "Ember Lustre", new=a_new_piece(clay="Lantern White", height_mm=240, fragile=True))
    page = visits.visit(TOM, "/scan?step=queue&route=raku", viewport=TABLET)

    scan(page, good, good, low, needs, "nonsense")
    answered(page, 5)

    assert faults(page) == {}


def test_both_answers_of_a_kilns_door_have_nothing_against_them(visits: Visits) -> None:
    good, other = glazed(visits.store, "Plum Gloss"), glazed(visits.store)
    pieces.queue(visits.store, asked_by(TOM, NOW), good, "low-fire")
    receipt = firings.start(visits.store, asked_by(TOM), "Front box", "low-fire", Cone.parse("04"))
    page = visits.visit(TOM, f"/firings/{receipt.extra['firing']}", viewport=TABLET)

    scan(page, good, other)
    answered(page, 2)

    assert faults(page) == {}
    firings.light(visits.store, asked_by(TOM), int(receipt.extra["firing"]))
    firings.unload(visits.store, asked_by(TOM), int(receipt.extra["firing"]), {good: Outcome.GOOD})


def test_a_firing_that_was_unloaded_offers_its_tags_with_nothing_against_it(
    visits: Visits, laid_out: dict[str, object]
) -> None:
    page = visits.visit(TOM, f"/paper/tags?firing={laid_out['bisque']}", viewport=TABLET)

    assert page.get_by_role("heading", level=1).text_content() == "Print 2 tags"
    assert faults(page) == {}


def test_a_name_of_one_endless_word_makes_no_page_wider_than_a_phone(visits: Visits) -> None:
    store = visits.store
    ref = queued(store, new=a_new_piece("Ŵ" * 79))
    slip = pieces.register(store, asked_by(TOM), a_new_piece("W" * 79)).ref
    job = tags.print_tags(store, asked_by(TOM), [ref, slip], tags.Sheet(stock=STOCKS[0])).job
    pages = (f"/p/{ref}", f"/p/{ref}/glaze", f"/p/{ref}/known", f"/slip/{slip[1:]}", "/", "/waiting")
    more = ("/whose?height=120", f"/pickup?ref={ref}")
    papers = (f"/paper/tags?ref={ref}&ref={slip}", f"/paper/care?ref={ref}", "/printed", f"/printed/{job}")
    page = visits.visit(TOM, viewport={"width": 320, "height": 640})

    wide = {}
    for address in (*pages, *more, *papers):
        page.goto(address)
        wide[address] = sticks_out(page)

    assert {address: what for address, what in wide.items() if what} == {}
