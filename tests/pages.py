"""Every page there is, who may open it, and a studio with something of everything on them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from sqlalchemy import insert, update

from tests.photographed import photographed, tiled
from tests.staffed import ADA, INES, TOM, asked_by, bisqued, fired, glazed, off_and_out, queued, started, tags_printed
from tests.studio import NOON, a_new_piece
from tests.yard import fire_round, planned_session, refs_in, tap, the_session
from tracker.domain.cones import Cone
from tracker.domain.firing.witness_cones import Stands, WitnessCone
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.results import Air, Mark, Smoke
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Build, Use
from tracker.domain.studio.kilns import Furniture, Room
from tracker.domain.studio.people import RIGHTS, Person, Right, Role
from tracker.domain.studio.terms import NewTerm
from tracker.forms.firing.curve_file import read_curve_file
from tracker.store.numbers import new_number
from tracker.store.tables import join_links, sections
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.firing import logs as firing_logs
from tracker.usecases.firing import plans as firing_plans
from tracker.usecases.outdoor import running as outdoor_running
from tracker.usecases.outdoor import sessions as outdoor
from tracker.usecases.pieces import found_again, pickup, pieces, stocktaking
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog, joining
from tracker.usecases.studio.mailing import stop_query
from tracker.usecases.studio.people import hash_of_token
from tracker.usecases.studio.terms import add_term

NOW = NOON + timedelta(days=2)
"""When the pages are opened: what was glazed at noon has dried."""

VISITORS: dict[str, Person | None] = {"stranger": None, "student": INES, "staff": TOM, "instructor": ADA}

# Each page with the addresses under which it looks different; {names} are those of the pieces laid out below.
PAGES: dict[str, tuple[str, ...]] = {
    "signing_in.sign_in": ("/sign-in",),
    "links.forgot": ("/forgot-password",),
    "links.link": ("/password-link?t=followed",),
    "mails.stop": ("/mail/stop?p=3&s={stop}",),
    "signing_in.password": ("/password",),
    "signing_in.own_settings": ("/me",),
    "signing_in.kept": ("/kept-form",),
    "studio.changes": ("/changes",),
    "studio.contents": ("/help", "/help?q=cone", "/help?q=nothing+here"),
    "studio.explained": ("/help/rules", "/help/studio-settings", "/help/judge"),
    "today.today": ("/today",),
    "finding.find": ("/find?q=moon", "/find?q=nothing+here"),
    "shelves.shelves": ("/shelves", "/shelves?place=yard+shelf", "/shelves?place=nowhere", "/shelves?late=1"),
    "shelves.missing": ("/shelves/missing",),
    "stocktakes.stocktake": ("/shelves/stocktake/{counting}", "/shelves/stocktake/{counted}"),
    "pieces.mine": ("/pieces", "/pieces?finished=1"),
    "pieces.new": ("/pieces/new",),
    "pieces.registered": ("/pieces/registered?piece=W{slip}",),
    "pieces.slip": ("/slip/{slip}",),
    "pieces.piece": ("/p/{bisqued}", "/p/{glazed}", "/p/{queued}", "/p/{fired}", "/p/{lost}"),
    "flaws.flaws": ("/p/{fired}/flaws", "/p/{bisqued}/flaws"),
    "results.result": ("/p/{fired}/result",),
    "registered.registered": ("/p/{fired}/registered",),
    "registered.compare": ("/p/{fired}/registered/twice?other=W{slip}",),
    "known.known": ("/p/{bisqued}/known", "/p/{glazed}/known?foot=wiped", "/p/{queued}/known"),
    "pieces.glazing": ("/p/{bisqued}/glaze", "/p/{glazed}/glaze?find=iron&color=brown", "/p/{queued}/glaze"),
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
        "/paper/maker-cards",
        "/paper/commands",
        "/paper/test-bars",
        "/paper/care?ref={fired}",
        "/paper/not-for-food?ref={fired}",
        "/paper/pickup-slip?ref={fired}",
        "/paper/notices",
        "/paper/pickup-day?ref={fired}",
    ),
    "scanner.scanner": ("/scanner",),
    "scanning.scan": (
        "/scan",
        "/scan?step=queue&route=raku",
        "/scan?step=lose&cause=broken",
        "/scan?step=shelve&place=rack+3",
    ),
    "refused.refused": ("/scan/refused",),
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
    "unloading.unloading": ("/firings/{lit}/unload", "/firings/{cooled}/unload"),
    "plans.plan": ("/firings/plan",),
    "fires.log": ("/firings/{lit}/log",),
    "fires.cones": ("/firings/{lit}/cones",),
    "fires.cost": ("/firings/{lit}/cost",),
    "fires.times": ("/firings/{lit}/times",),
    "pickup.pickup": ("/pickup", "/pickup?ref={fired}", "/pickup?ref=Mira", "/pickup?ref=22222"),
    "photos.look": ("/photos/{photo}",),
    "tiles.look": ("/tiles/{tile}",),
    "whose.whose": (
        "/whose",
        "/whose?height=120",
        "/whose?height=120&clay=stoneware&build=thrown&stage=fired",
        "/whose?width=9",
    ),
    "questions.questions": ("/questions",),
    "catalog.catalog": ("/catalog", "/catalog?part=clays", "/catalog?part=kilns"),
    "catalog.thing": (
        "/catalog/glaze/form",
        "/catalog/glaze/form?name=Still+Water",
        "/catalog/clay/form?name=Doorstep+Buff",
        "/catalog/route/form?name=raku",
        "/catalog/kiln/form?name=Yard+drum",
    ),
    "catalog.leaving": ("/catalog/glaze/retire?name=Still+Water", "/catalog/route/retire?name=mid-range"),
    "catalog.practice": ("/catalog/practice",),
    "catalog.file": ("/catalog/file",),
    "evidence.evidence": ("/evidence",),
    "people.people": ("/people",),
    "people.person": ("/people/3",),
    "makers.maker": ("/makers/3",),
    "people.new": ("/people/new",),
    "joining.join": ("/join?t={joining}",),
    "joining.links": ("/people/joining",),
    "joining.section": ("/people/joining/1", "/people/joining/{section}"),
    "rosters.upload": ("/people/roster",),
    "terms.all_terms": ("/terms",),
    "terms.new": ("/terms/new", "/terms/new?from={term}"),
    "terms.term": ("/terms/{term}",),
    "term_ends.end": ("/terms/{term}/end", "/terms/{term}/end?by=shelf"),
    "term_ends.data": ("/terms/data",),
}
_TERM = NewTerm(name="Spring", starts_on=NOON.date(), ends_on=NOON.date(), sections=("Tuesday", "Thursday"))
# One page asks for every kind of paper, and each kind has a right of its own.
PAPERS = {
    "/paper/shelves": Right.MOVE,
    "/paper/buckets": Right.MOVE,
    "/paper/kiln-doors": Right.FIRE,
    "/paper/containers": Right.FIRE,
    "/paper/badges": Right.PEOPLE,
    "/paper/maker-cards": Right.MOVE,
    "/paper/commands": Right.MOVE,
    "/paper/test-bars": Right.MOVE,
    "/paper/pickup-slip": Right.HAND_OVER,
    "/paper/notices": Right.HAND_OVER,
    "/paper/pickup-day": Right.HAND_OVER,
}
# It only leads to the page that each role starts from.
LEADS_ON = {"signing_in.first_page", "static"}
# What is downloaded, or asked by a machine, is no page.
FILES = {
    "examples.picture",
    *("photos.picture", "tiles.picture", "catalog.export", "catalog.chart", "plans.sheet", "firings.door"),
    "unloading.said_so_far",
    "joining.poster",
    *("sessions.sheet", "running.story", "running.worker"),
    *("printed.pdf", "printed.make", "stock.crosses"),
    *("health.alive", "health.ready", "health.metrics"),
}


def lay_out(store: Store) -> dict[str, object]:
    """Something of everything, so that no page is empty: by name the codes and numbers that addresses need."""
    store.outbox.keep_link(hash_of_token("followed"), INES.id, NOON, NOON + timedelta(days=14))
    slip = pieces.register(
        store, asked_by(INES), a_new_piece("jar with a lid and a rather long name", use=Use.FOOD)
    ).ref
    tiles = [pieces.register(store, asked_by(INES), a_new_piece(f"tile {count}")).ref for count in range(3)]
    bisque = started(store, "Front box", "bisque", "06")
    for tile in tiles:
        firings.put_in(store, asked_by(TOM), bisque, tile)
    firings.light(store, asked_by(TOM), bisque)
    off_and_out(
        store,
        asked_by(TOM),
        bisque,
        dict(zip(tiles, (Outcome.GOOD, Outcome.of(Flaw.CRACKED), Outcome.BROKE), strict=True)),
    )
    fired(store)
    ran, gone, waiting = (queued(store, new=a_new_piece(f"bowl {count}")) for count in range(3))
    asked = glazed(store, "Iron Gate", maker=INES)
    questions.ask(store, asked_by(INES), asked, "May it stay dry?", route="mid-range")
    sessions = fired_outdoors(store)
    wings = a_new_piece("moon jar", clay="Lantern White", build=Build.SLAB, height_mm=240, fragile=True)
    outdoors = glazed(store, "Ember Luster", new=wings, maker=INES)
    accepted = {"porcelain-outdoors", "fragile-outdoors"}
    pieces.queue(store, asked_by(TOM, NOW), outdoors, "raku", accepts=accepted, place="yard shelf")
    questions.ask(store, asked_by(INES), outdoors, "Could it go in the second round?", route=None)
    first = started(store)
    for ref in (ran, gone):
        firings.put_in(store, asked_by(TOM), first, ref)
    firings.light(store, asked_by(TOM), first)
    off_and_out(store, asked_by(TOM), first, {ran: Outcome.of(Flaw.RAN), gone: Outcome.GOOD})
    pickup.hand_over(store, asked_by(TOM), gone)
    loading = started(store)
    firings.put_in(store, asked_by(TOM), loading, waiting)
    queued(store)
    fired_of_ines = _fired_of_ines(store)
    for ref in (asked, fired_of_ines, outdoors):
        photographed(store, ref, INES, "from above", width=300, height=400)
    return {
        **sessions,
        "slip": slip[1:],
        "stop": stop_query(store, INES.id).partition("s=")[2],
        "photo": photographed(store, asked, TOM),
        "tile": tiled(store, "Still Water", ADA),
        "bisqued": bisqued(store, a_new_piece(use=Use.FOOD), maker=INES),
        "glazed": asked,
        "queued": outdoors,
        "fired": fired_of_ines,
        "lost": _lost(store),
        "term": add_term(store, asked_by(ADA), _TERM).extra["term"],
        **_stocktakes(store),
        "loading": loading,
        "planned": _planned(store),
        "printed": tags_printed(store, asked_by(INES), fired_of_ines).job.id,
        "lit": _lit(store),
        "cooled": _cooled(store),
        "bisque": bisque,
        **_joining(store),
    }


def _joining(store: Store) -> dict[str, object]:
    """A section of no term and what its join link says; somebody asked to join by it."""
    with store.writing() as connection:
        section = new_number(connection.execute(insert(sections), {"name": "Drop-in"}))
    joining.make_link(store, asked_by(ADA, NOW), section, NOW.date() + timedelta(days=30), asks_first=True)
    with store.writing() as connection:
        # Drawn letters could be a word that no language has.
        connection.execute(update(join_links).values(token="7K7R7P7X7L7N"))
    link = store.read.joining.link_of(section)
    assert link is not None
    newcomer = {"name": "Lea Moor", "email": "lea@studio.example", "password": "a heron on one leg"}
    joining.ask_to_join(store, link, **newcomer, at=NOW, address="10.0.0.7")
    return {"joining": link.token, "section": section}


def fired_outdoors(store: Store) -> dict[str, int]:
    """A session that was fired, told and weighed, and one that burns with a warned piece still to come."""
    for count in range(3):
        queued(store, "Ember Luster", route="raku", new=a_new_piece(f"smoke jar {count}"))
    done = planned_session(store, starts_at=NOON)
    for number, _ in enumerate(the_session(store, done).rounds, start=1):
        for ref in fire_round(store, done, number, Outcome.of(Flaw.CRACKED) if number > 1 else Outcome.GOOD):
            firing = the_session(store, done).rounds[number - 1].id
            told = Mark(air=Air.MORE_FUEL, smoke=Smoke.HEAVY, color="copper blush")
            outdoor_running.mark(store, asked_by(TOM, NOW), done, firing, ref, told)
    outdoor.end(store, asked_by(TOM, NOW), done, fuel_after_kg=15)
    for count in range(3):
        box = a_new_piece(f"ash box {count}", clay="Lantern White", build=Build.SLAB)
        pieces.queue(
            store, asked_by(TOM), glazed(store, "Ember Luster", new=box), "raku", accepts={"porcelain-outdoors"}
        )
    burning = planned_session(store)
    tap(store, burning, Did.START, inside=tuple(refs_in(store, burning)))
    return {"done_outdoors": done, "session": burning}


def _planned(store: Store) -> int:
    """A firing of a measured kiln that is planned, with pictures of its load."""
    known = store.read.catalog().kiln("Back box")
    shelves = Furniture(round_mm=400, halves=True, thickness_mm=20, posts_mm=(100, 150, 200))
    room = Room(height_mm=500, round_mm=440)
    catalog.add(store, asked_by(ADA), replace(known, name="Round box", chamber=room, furniture=shelves))
    for count in range(3):
        queued(store, new=a_new_piece(f"plate {count}"))
    return int(firing_plans.plan(store, asked_by(TOM), "Round box", "mid-range", Cone.parse("6")).extra["firing"])


def _cooled(store: Store) -> int:
    """A kiln that is off and waits to be unloaded; it kept no log."""
    known = store.read.catalog().kiln("Back box")
    catalog.add(store, asked_by(ADA), replace(known, name="Fourth box"))
    number = started(store, "Fourth box")
    firings.put_in(store, asked_by(TOM), number, queued(store, new=a_new_piece("candle holder")))
    firings.light(store, asked_by(TOM, NOW - timedelta(hours=40)), number)
    firings.shut_off(store, asked_by(TOM, NOW - timedelta(hours=28)), number)
    return number


def _lit(store: Store) -> int:
    """A firing whose fire is on, with a log, witness cones and a cost."""
    known = store.read.catalog().kiln("Back box")
    catalog.add(store, asked_by(ADA), replace(known, name="Third box"))
    ref = queued(store, new=a_new_piece("moon vase"))
    number = started(store, "Third box")
    firings.put_in(store, asked_by(TOM), number, ref)
    firings.light(store, asked_by(TOM, NOW - timedelta(hours=19)), number)
    steady = "minutes,°C\n" + "\n".join(f"{one * 15},{22 + one * 15}" for one in range(76))
    firing_logs.take_log(store, asked_by(TOM, NOW), number, read_curve_file(steady))
    firing_logs.note_witnesses(store, asked_by(TOM), number, [(1, WitnessCone(Cone.parse("5"), Stands.HALF))])
    firing_logs.note_cost(store, asked_by(TOM), number, kwh=71.5, cost_cents=1430)
    return number


def _fired_of_ines(store: Store) -> str:
    ref = glazed(store, "Plum Gloss", maker=INES)
    pieces.queue(store, asked_by(TOM), ref, "low-fire")
    firing = started(store, "Front box", "low-fire", "04")
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    off_and_out(store, asked_by(TOM), firing, {ref: Outcome.of(Flaw.STUCK)})
    return ref


def _lost(store: Store) -> str:
    ref = bisqued(store, maker=INES)
    pieces.lose(store, asked_by(TOM), ref, "broken")
    return ref


def _stocktakes(store: Store) -> dict[str, int]:
    """A shelf that is being counted, and one that was counted and differs in each way from its record."""
    here, gone, new, lost = (bisqued(store, a_new_piece(f"jar {count}"), maker=INES) for count in range(4))
    for ref in (here, gone):
        pieces.shelve(store, asked_by(TOM), ref, "rack 7")
    pieces.lose(store, asked_by(TOM), lost, "missing")
    pieces.lose(store, asked_by(TOM), found := bisqued(store), "missing")
    found_again.find(store, asked_by(TOM, NOW), found)
    counted, counting = (
        int(stocktaking.begin_stocktake(store, asked_by(TOM, NOW), place).extra["stocktake"])
        for place in ("rack 7", "yard shelf")
    )
    for ref in (here, new, lost):
        stocktaking.scan_in_stocktake(store, asked_by(TOM, NOW), counted, ref)
    stocktaking.end_stocktake(store, asked_by(TOM, NOW), counted)
    return {"counting": counting, "counted": counted}


def rights() -> dict[str, Right | str]:
    """What opens each page; spelt out, so that a page whose door changes is looked at anew."""
    return {
        "signing_in.sign_in": "stranger",
        "links.forgot": "stranger",
        "joining.join": "stranger",
        "links.link": "stranger",
        "mails.stop": "stranger",
        "signing_in.password": "anybody",
        "signing_in.own_settings": "anybody",
        "signing_in.kept": "anybody",
        **dict.fromkeys((f"studio.{name}" for name in ("changes", "contents", "explained")), "stranger"),
        "today.today": Right.MOVE,
        "finding.find": Right.SEE_OWN,
        "shelves.shelves": Right.SEE_ALL,
        "shelves.missing": Right.SEE_ALL,
        "stocktakes.stocktake": Right.MOVE,
        "pieces.mine": Right.REGISTER,
        "pieces.new": Right.REGISTER,
        "pieces.registered": Right.REGISTER,
        "pieces.slip": Right.SEE_OWN,
        "pieces.piece": Right.SEE_OWN,
        "pieces.glazing": Right.WORK_ON,
        "known.known": Right.WORK_ON,
        "flaws.flaws": Right.WORK_ON,
        "results.result": Right.FIRE,
        "registered.registered": Right.EDIT,
        "registered.compare": Right.EDIT,
        "stock.stock": Right.CATALOG,
        "stock.alignment": Right.SEE_OWN,
        "printed.jobs": Right.SEE_OWN,
        "printed.job": Right.SEE_OWN,
        "paper.paper": Right.SEE_OWN,
        "paper.choose": Right.SEE_OWN,
        "scanning.scan": Right.MOVE,
        "refused.refused": Right.MOVE,
        "scanner.scanner": Right.MOVE,
        "waiting.waiting": Right.MOVE,
        "outdoor.outdoor": Right.MOVE,
        **dict.fromkeys((f"sessions.{name}" for name in ("plan", "session", "facts", "choosing")), Right.FIRE),
        "running.run": Right.FIRE,
        "examples.examples": "anybody",
        "examples.broken": Right.MOVE,
        "firings.firings": Right.FIRE,
        "firings.firing": Right.FIRE,
        "unloading.unloading": Right.FIRE,
        "plans.plan": Right.FIRE,
        **dict.fromkeys((f"fires.{name}" for name in ("log", "cones", "cost", "times")), Right.FIRE),
        "pickup.pickup": Right.HAND_OVER,
        "photos.look": Right.SEE_OWN,
        "tiles.look": Right.SEE_OWN,
        "whose.whose": Right.SEE_ALL,
        "questions.questions": Right.DECIDE,
        **dict.fromkeys(
            (f"catalog.{name}" for name in ("catalog", "thing", "leaving", "practice", "file")), Right.CATALOG
        ),
        "evidence.evidence": Right.CATALOG,
        "people.people": Right.PEOPLE,
        "people.person": Right.PEOPLE,
        "people.new": Right.PEOPLE,
        "joining.links": Right.PEOPLE,
        "joining.section": Right.PEOPLE,
        "rosters.upload": Right.PEOPLE,
        **dict.fromkeys((f"terms.{name}" for name in ("all_terms", "new", "term")), Right.PEOPLE),
        **dict.fromkeys((f"term_ends.{name}" for name in ("end", "data")), Right.PEOPLE),
        "makers.maker": Right.SEE_ALL,
    }


def everybody_everywhere() -> list[tuple[str, str]]:
    """Each visitor with each address that opens for them."""
    roles = {"student": Role.STUDENT, "staff": Role.STAFF, "instructor": Role.INSTRUCTOR}
    return [
        (who, address)
        for endpoint, right in rights().items()
        for who in VISITORS
        if (who == "stranger" if right == "stranger" else who != "stranger")
        and (not isinstance(right, Right) or roles[who] in RIGHTS[right])
        for address in PAGES[endpoint]
        if who == "stranger" or roles[who] in RIGHTS[PAPERS.get(address.partition("?")[0], Right.SEE_OWN)]
    ]
