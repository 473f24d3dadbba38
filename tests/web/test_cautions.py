"""Pages and dangers: each page and each paper shows the cautions that are meant there, and no others."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from functools import cached_property
from io import BytesIO
from itertools import count
from typing import TYPE_CHECKING

import pypdfium2
import pytest
from sqlalchemy import create_engine

from printing.labels.stock import EVERY_STOCK
from tests.pages import NOW, PAGES, lay_out
from tests.reading import said
from tests.staffed import ADA, INES, PASSWORD, TOM, open_studio, queued, started, unload
from tests.studio import ADA as ADA_HERE
from tests.studio import TOM as TOM_HERE
from tests.web.conftest import Room, Visitor
from tests.wording.pseudo import names_in
from tracker.app import create_app
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.studio.absorption import CLASSES
from tracker.domain.studio.cautions import Danger, told
from tracker.domain.studio.kilns import KNOWN_ROUTES, Atmosphere, Kiln
from tracker.domain.studio.leach_limits import Regime
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.settings import Settings
from tracker.usecases.firing import firings, starting
from tracker.usecases.studio import catalog
from tracker.wording.render import read

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from tracker.domain.studio.people import Person

NONE: AbstractSet[Danger] = frozenset()
FOOD, DUST, RULES = Danger.FOOD, Danger.DUST, Danger.AUTHORITY
INDOORS = {Danger.HOT_KILN, Danger.CARBON_MONOXIDE, RULES}
LOADING = {Danger.SHARP_GLAZE, DUST, Danger.FIBER}
POWER = {Danger.ELECTRICITY}
OPENING = {Danger.OPENING, Danger.SHARP_GLAZE, DUST, Danger.FIBER, RULES}
RAKU = {
    *(
        Danger.HOT_WARE,
        Danger.BINS,
        Danger.GAS,
        Danger.CARBON_MONOXIDE_OUTDOORS,
        Danger.FIRE,
        Danger.WATER,
        Danger.SMOKE,
    ),
    # Its lusters are of copper.
    *(Danger.FIBER, Danger.METAL_FUME, RULES),
}
RAKU_AND_HORSEHAIR = RAKU | {Danger.FERRIC_CHLORIDE}

# Each address of each page with what is meant there. A page that is new stands here before its test passes.
MEANT: dict[str, AbstractSet[Danger]] = {
    **dict.fromkeys(("/sign-in", "/password", "/changes", "/help", "/help?q=cone", "/help?q=nothing+here"), NONE),
    **dict.fromkeys(("/help/rules", "/help/studio-settings", "/help/judge"), NONE),
    # They lead to other pages.
    **dict.fromkeys(("/today", "/find?q=moon", "/find?q=nothing+here"), NONE),
    **dict.fromkeys(("/shelves", "/shelves?place=yard+shelf", "/shelves?place=nowhere", "/shelves?late=1"), NONE),
    **dict.fromkeys(("/shelves/missing", "/shelves/stocktake/{counting}", "/shelves/stocktake/{counted}"), NONE),
    **dict.fromkeys(("/pieces", "/pieces?finished=1", "/pieces/new"), NONE),
    "/pieces/registered?piece=W{slip}": NONE,
    # A jar for food, still greenware.
    "/slip/{slip}": {FOOD},
    # For food and bisqued: it is sanded. It may not go to the raku kiln.
    "/p/{bisqued}": {FOOD, DUST},
    # The raku kiln would need the instructor's approval first, and hot ware is told where the piece is sent there.
    "/p/{glazed}": {DUST},
    # It waits for the raku kiln.
    "/p/{queued}": {Danger.HOT_WARE, RULES},
    # It stuck to the shelf: what is sharp is ground off.
    "/p/{fired}": {Danger.SHARP_GLAZE, DUST},
    "/p/{lost}": NONE,
    "/p/{fired}/flaws": {FOOD},
    "/p/{bisqued}/flaws": {FOOD},
    "/p/{fired}/result": {FOOD},
    "/p/{fired}/registered": NONE,
    "/p/{fired}/registered/twice?other=W{slip}": NONE,
    "/p/{bisqued}/known": {FOOD},
    "/p/{glazed}/known?foot=wiped": NONE,
    "/p/{queued}/known": NONE,
    "/p/{bisqued}/glaze": {DUST, FOOD},
    "/p/{glazed}/glaze?find=iron&color=brown": {DUST},
    "/p/{queued}/glaze": {DUST},
    **dict.fromkeys(("/paper", "/paper/stock", "/paper/alignment", "/printed", "/printed/{printed}"), NONE),
    "/paper/alignment?stock=Roll,+57+x+32+mm": NONE,
    **dict.fromkeys(("/paper/tags", "/paper/tags?ref={queued}"), NONE),
    "/paper/tags?ref={queued}&ref={fired}&stock=Roll,+57+x+32+mm": NONE,
    **dict.fromkeys(("/paper/shelves", "/paper/kiln-doors", "/paper/containers", "/paper/badges"), NONE),
    **dict.fromkeys(("/paper/notices", "/paper/maker-cards", "/paper/commands", "/paper/test-bars", "/scanner"), NONE),
    "/paper/buckets": {DUST, FOOD},
    "/paper/care?ref={fired}": {FOOD},
    "/paper/not-for-food?ref={fired}": {FOOD},
    "/paper/pickup-slip?ref={fired}": {FOOD},
    "/paper/pickup-day?ref={fired}": {FOOD},
    **dict.fromkeys(("/scan", "/scan/refused"), NONE),
    "/scan?step=queue&route=raku": NONE,
    "/scan?step=lose&cause=broken": NONE,
    "/scan?step=shelve&place=rack+3": NONE,
    "/waiting": NONE,
    "/waiting?route=raku": NONE,
    "/outdoor": RAKU_AND_HORSEHAIR,
    "/outdoor/plan": RAKU_AND_HORSEHAIR,
    "/outdoor/{done_outdoors}": NONE,
    # Its rounds are raku alone.
    "/outdoor/{session}": RAKU,
    "/outdoor/{session}/run": RAKU,
    "/outdoor/{session}/pieces": RAKU,
    "/outdoor/{session}/facts": RAKU_AND_HORSEHAIR,
    "/outdoor/examples": {Danger.SMOKED_WARE},
    "/outdoor/examples?air=even": {Danger.SMOKED_WARE},
    "/outdoor/losses": NONE,
    "/firings": INDOORS | LOADING | POWER,
    "/firings/plan": INDOORS | LOADING | POWER,
    "/firings/{planned}": INDOORS | OPENING | POWER,
    "/firings/{loading}": INDOORS | LOADING | POWER,
    "/firings/{lit}": INDOORS,
    "/firings/{bisque}": {DUST},
    "/firings/{lit}/unload": OPENING | POWER | {Danger.CARBON_MONOXIDE},
    "/firings/{cooled}/unload": OPENING | POWER | {Danger.CARBON_MONOXIDE},
    "/firings/{lit}/log": INDOORS,
    "/firings/{lit}/cones": INDOORS,
    "/firings/{lit}/times": INDOORS,
    "/firings/{lit}/cost": NONE,
    **dict.fromkeys(("/pickup", "/pickup?ref=22222"), NONE),
    "/pickup?ref={fired}": {FOOD, Danger.SHARP_GLAZE},
    "/pickup?ref=Mira": NONE,
    "/photos/{photo}": NONE,
    "/tiles/{tile}": NONE,
    **dict.fromkeys(("/whose", "/whose?height=120", "/whose?width=9"), NONE),
    "/whose?height=120&clay=stoneware&build=thrown&stage=fired": NONE,
    "/questions": {FOOD},
    **dict.fromkeys(("/catalog", "/catalog?part=clays", "/catalog?part=kilns"), frozenset({FOOD})),
    "/catalog/glaze/form": {FOOD, DUST},
    "/catalog/glaze/form?name=Still+Water": {FOOD, DUST},
    "/catalog/clay/form?name=Doorstep+Buff": {FOOD},
    "/catalog/route/form?name=raku": RAKU,
    "/catalog/kiln/form?name=Yard+drum": RAKU_AND_HORSEHAIR | LOADING,
    "/catalog/glaze/retire?name=Still+Water": NONE,
    "/catalog/route/retire?name=mid-range": NONE,
    "/catalog/practice": RAKU_AND_HORSEHAIR | INDOORS | {FOOD},
    "/catalog/file": NONE,
    "/evidence": {FOOD},
    "/me": NONE,
    "/forgot-password": NONE,
    "/join?t={joining}": NONE,
    **dict.fromkeys(("/people/joining", "/people/joining/1", "/people/joining/{section}"), NONE),
    "/password-link?t=followed": NONE,
    "/mail/stop?p=3&s={stop}": NONE,
    "/kept-form": NONE,
    "/people": NONE,
    "/people/3": NONE,
    "/makers/3": NONE,
    "/people/new": NONE,
    "/people/roster": NONE,
    "/terms": NONE,
    "/terms/new": NONE,
    "/terms/new?from={term}": NONE,
    "/terms/{term}": NONE,
    "/terms/{term}/end": NONE,
    "/terms/{term}/end?by=shelf": NONE,
    "/terms/data": NONE,
}
SHOWN = re.compile(r'data-danger="([a-z-]+)"')


class Yard:
    """A studio with something of everything in it, and a visitor for each of its roles."""

    def __init__(self, path: Path) -> None:
        """Lay everything out in a fresh file."""
        self.database = f"sqlite:///{path}"
        open_studio(self.database).close()
        self.app = create_app(Settings(database=self.database), lambda: NOW, _drawn())
        self.store = self.app.extensions["footring"].store
        self.laid_out = lay_out(self.store)
        self._visitors: dict[str, Visitor] = {}

    def visitor(self, who: str) -> Visitor:
        """A stranger, student, staff or instructor at a browser."""
        if who not in self._visitors:
            visitor = self._visitors[who] = Visitor(self.app.test_client())
            visitor.get("/sign-in")
            if person := _PEOPLE.get(who):
                visitor.post("/sign-in", {"email": person.email, "password": PASSWORD})
        return self._visitors[who]

    @cached_property
    def names(self) -> AbstractSet[str]:
        """Every word in it that somebody typed."""
        engine = create_engine(self.database)
        with engine.connect() as connection:
            typed = names_in(connection)
        engine.dispose()
        # A stock is called in the studio file and in addresses what it is called on pages.
        stocks = [stock.name for stock in EVERY_STOCK]
        # Standards and their classes are called the same in every language.
        standards = [*map(read, Regime), *(one.name for one in CLASSES)]
        # A shelf that begins a line has a capital letter there.
        shelves = [f"{row.name[:1].upper()}{row.name[1:]}" for row in self.store.read.shelves.listed()]
        return typed | set(re.findall(r"[A-Za-z]+", " ".join([*stocks, *standards, *shelves])))

    def shown(self, who: str, address: str) -> set[Danger]:
        """The dangers that a page shows."""
        answer = self.visitor(who).get(address.format(**self.laid_out))
        assert answer.status_code == 200
        found = SHOWN.findall(answer.text)
        assert len(found) == len(set(found)), "each danger once"
        return {Danger(one) for one in found}

    def text_of(self, address: str) -> str:
        """The words of a PDF, on one line."""
        answer = self.visitor("instructor").get(address.format(**self.laid_out))
        assert answer.mimetype == "application/pdf"
        return text_of_pdf(answer.data)


def _drawn() -> Callable[[int], int]:
    numbers = count(1_000, 7)
    return lambda most: next(numbers) % most


def text_of_pdf(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    words = " ".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return " ".join(words.split())


_PEOPLE: dict[str, Person] = {"student": INES, "staff": TOM, "instructor": ADA}


@pytest.fixture(scope="module")
def yard(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory, quick_pages: None) -> Iterator[Yard]:
    """The studio of all tests here; none of them changes it."""
    path = tmp_path_factory.mktemp("cautions") / "studio.sqlite"
    shutil.copyfile(sqlite_template, path)
    made = Yard(path)
    yield made
    made.store.close()


def test_every_page_says_here_what_is_meant_on_it() -> None:
    assert {address for some in PAGES.values() for address in some} == set(MEANT)


UNFOLDED = re.compile(r'<p data-danger="([a-z-]+)"')


@pytest.mark.parametrize(
    ("address", "nearest"),
    [
        ("/firings/{planned}", [Danger.ELECTRICITY, Danger.SHARP_GLAZE, DUST]),
        ("/firings/{loading}", [Danger.ELECTRICITY, Danger.SHARP_GLAZE, DUST]),
        ("/firings/{lit}", [Danger.CARBON_MONOXIDE, Danger.HOT_KILN, RULES]),
        ("/firings/{cooled}/unload", [Danger.OPENING, Danger.ELECTRICITY, Danger.SHARP_GLAZE]),
        ("/outdoor/{session}/run", [Danger.HOT_WARE]),
    ],
)
def test_what_is_near_at_that_moment_comes_first_and_is_never_folded(
    yard: Yard, address: str, nearest: list[Danger]
) -> None:
    text = yard.visitor("staff").get(address.format(**yard.laid_out)).text

    assert UNFOLDED.findall(text) == SHOWN.findall(text)[: len(nearest)] == [str(one) for one in nearest]


def test_the_firing_type_form_names_each_danger_once(room: Room) -> None:
    catalog.add(room.store, room.asks(ADA_HERE), replace(CAR, outdoor=True, routes=frozenset({"mid-range"})))

    form = room.visit(ADA_HERE).get("/catalog/route/form?name=mid-range").text

    titles = [said(one.title) for one in told(COMMON_PRACTICE, shown_in(form))]
    assert {"Carbon monoxide", "Carbon monoxide outdoors"} <= set(titles)
    assert len(titles) == len(set(titles))


# ---- paper -----------------------------------------------------------------------------------------------------------


PAPERS: dict[str, AbstractSet[Danger]] = {
    "/firings/{planned}/sheet.pdf": INDOORS | OPENING | POWER,
    "/firings/{loading}/sheet.pdf": INDOORS | OPENING | POWER,
    "/firings/{lit}/sheet.pdf": INDOORS | OPENING | POWER,
    "/outdoor/{session}/sheet.pdf": RAKU,
}


def told_in(words: str) -> set[Danger]:
    """The dangers of which a paper gives every order, as pages do; a title alone is none."""
    cautions = told(COMMON_PRACTICE, Danger)
    return {one.danger for one in cautions if all(said(order) in words for order in one.orders)}


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_tells_the_dangers_that_are_meant_with_every_order_of_its_page(yard: Yard, paper: str) -> None:
    assert told_in(yard.text_of(paper)) == PAPERS[paper]


def test_the_phone_beside_the_kiln_shows_what_the_sheet_does(yard: Yard) -> None:
    phone, sheet = yard.shown("staff", "/outdoor/{session}/run"), told_in(yard.text_of("/outdoor/{session}/sheet.pdf"))

    assert phone == sheet != NONE


def test_a_page_of_a_firing_shows_nothing_that_its_sheet_lacks(yard: Yard) -> None:
    sheet = told_in(yard.text_of("/firings/{lit}/sheet.pdf"))

    assert yard.shown("staff", "/firings/{lit}") <= sheet
    assert yard.shown("staff", "/firings/{lit}/unload") <= sheet
    assert yard.shown("staff", "/firings/{planned}") == sheet


def test_a_reducing_kilns_sheet_begins_with_gas_and_carbon_monoxide(room: Room) -> None:
    here = loading(room, CAR, "high-fire")

    sheet = text_of_pdf(room.visit(TOM_HERE).get(f"{here}/sheet.pdf").data)

    told_there = ("Gas. If", "Carbon monoxide. Ventilate", "Hot kiln. Keep", "Sharp glaze. Wear")
    places = [sheet.index(one) for one in told_there]
    assert places == sorted(places)


# ---- kilns of every sort ---------------------------------------------------------------------------------------------

CAR = Kiln(name="Car", routes=frozenset({"high-fire", "mid-range"}), atmosphere=Atmosphere.REDUCTION)
SHED = {Danger.HOT_KILN, Danger.CARBON_MONOXIDE_OUTDOORS, Danger.FIRE, RULES}
OF_RAKU = {Danger.HOT_WARE, Danger.BINS, Danger.FERRIC_CHLORIDE}


def shown_in(text: str) -> set[Danger]:
    """The dangers that a page shows."""
    return {Danger(one) for one in SHOWN.findall(text)}


def loading(room: Room, kiln: Kiln, route: str) -> str:
    """The address of a firing that is being loaded in a new kiln."""
    catalog.add(room.store, room.asks(ADA_HERE), kiln)
    cone = room.store.read.catalog().route(route).cone
    number = starting.start(room.store, room.asks(TOM_HERE), kiln.name, route, cone).extra["firing"]
    return f"/firings/{number}"


@pytest.mark.parametrize(
    ("name", "kiln", "meant"),
    [
        ("high-fire", CAR, INDOORS | {Danger.GAS, Danger.FIRE}),
        ("high-fire", replace(CAR, outdoor=True), SHED | {Danger.GAS}),
        ("soda", Kiln(name="Long", routes=frozenset({"soda"}), outdoor=True), SHED | {Danger.GAS, Danger.VAPOR}),
        (
            "wood",
            Kiln(name="Hill", routes=frozenset({"wood"}), outdoor=True),
            (SHED - {Danger.HOT_KILN})
            | {Danger.HOT_WOOD_KILN, Danger.FIREBOX, Danger.FIREWOOD, Danger.WATER, Danger.SMOKE},
        ),
        (
            "pit",
            Kiln(name="Hole", routes=frozenset({"pit"}), outdoor=True),
            (SHED - {Danger.HOT_KILN})
            | {Danger.HOT_PIT, Danger.FIREWOOD, Danger.WATER, Danger.SMOKE, Danger.METAL_FUME},
        ),
        ("overglaze", Kiln(name="Small", routes=frozenset({"overglaze"})), INDOORS | POWER | {Danger.OVERGLAZE_FUMES}),
        ("once-fire", Kiln(name="Small", routes=frozenset({"once-fire"})), INDOORS | POWER),
    ],
    ids=["gas indoors", "gas outdoors", "soda", "wood", "pit", "overglaze", "once-fire"],
)
def test_the_page_the_sheet_and_the_form_of_a_kiln_show_what_is_meant_for_it(
    room: Room, name: str, kiln: Kiln, meant: set[Danger]
) -> None:
    if name not in room.store.read.catalog().routes:
        catalog.add(room.store, room.asks(ADA_HERE), KNOWN_ROUTES[name])
    here, ada = loading(room, kiln, name), room.visit(ADA_HERE)

    page, form = ada.get(here).text, ada.get(f"/catalog/kiln/form?name={kiln.name}").text
    sheet = told_in(text_of_pdf(ada.get(f"{here}/sheet.pdf").data))

    # A pit has neither shelves nor doors.
    loads, opens = ({DUST}, {Danger.OPENING_PIT, DUST, RULES}) if name == "pit" else (LOADING, OPENING)
    assert shown_in(page) == meant | loads
    assert shown_in(form) == sheet == meant | loads | opens
    assert sheet.isdisjoint(OF_RAKU)


@pytest.mark.parametrize(
    ("route", "atmosphere", "is_reduced"),
    [
        ("high-fire", Atmosphere.REDUCTION, True),
        ("mid-range", Atmosphere.REDUCTION, True),
        ("high-fire", Atmosphere.NEUTRAL, False),
        ("high-fire", Atmosphere.OXIDATION, False),
        ("high-fire", None, False),
    ],
)
def test_a_body_reduction_is_on_the_sheet_of_a_kiln_that_reduces_alone(
    room: Room, route: str, atmosphere: Atmosphere | None, *, is_reduced: bool
) -> None:
    here, tom = loading(room, replace(CAR, atmosphere=atmosphere), route), room.visit(TOM_HERE)

    sheet = text_of_pdf(tom.get(f"{here}/sheet.pdf").data)

    assert ("Body reduction" in sheet) is is_reduced


def test_a_kiln_that_cools_shows_how_it_is_opened_on_each_of_its_pages(room: Room) -> None:
    slip, asks = room.greenware().ref, room.asks(TOM_HERE)
    number = int(starting.start(room.store, asks, "Front box", "bisque", Cone.parse("06")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM_HERE), number, slip, dry=True)
    firings.light(room.store, room.asks(TOM_HERE), number)
    firings.shut_off(room.store, room.asks(TOM_HERE), number)
    tom = room.visit(TOM_HERE)

    shown = [shown_in(tom.get(f"/firings/{number}{there}").text) for there in ("", "/unload", "/log", "/cones")]

    opened = OPENING | POWER | {Danger.CARBON_MONOXIDE}
    # What was turned off stays hot for hours (common practice).
    hot = opened | {Danger.HOT_KILN}
    assert shown == [hot, opened, hot, hot]


@pytest.mark.parametrize(
    ("flaws", "cuts"),
    [((Flaw.CRAWLED,), NONE), ((Flaw.RAN, Flaw.CRAZED), {Danger.SHARP_GLAZE, DUST})],
    ids=["dull", "sharp"],
)
def test_a_firing_out_of_which_something_came_with_sharp_glaze_says_so(
    room: Room, flaws: tuple[Flaw, ...], cuts: AbstractSet[Danger]
) -> None:
    ref = queued(room.store)
    number = started(room.store)
    firings.put_in(room.store, room.asks(TOM_HERE), number, ref)
    unload(room.store, number, {ref: Outcome(flaws)})

    assert shown_in(room.visit(TOM_HERE).get(f"/firings/{number}").text) == {FOOD, *cuts}
