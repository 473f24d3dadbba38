"""Every page there is, for everybody who may open it: nothing for axe-core, nothing too wide, nothing too small."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest
from flask import Flask

from tests.journeys.kinds import kinds_of
from tests.journeys.looking import faults, sticking_out_of_each, sticks_out
from tests.journeys.visiting import NOW, PHONE, TABLET, Visits, answered, scan
from tests.pages import FILES, LEADS_ON, PAGES, VISITORS, everybody_everywhere, lay_out, rights
from tests.staffed import MIRA, TOM, asked_by, glazed, off_and_out, open_studio, queued, tags_printed
from tests.studio import a_new_piece
from tests.wording.pseudo import in_pseudo
from tracker.app import create_app
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.studio.people import Right
from tracker.settings import Settings
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pieces
from tracker.web.studio import manual


@pytest.fixture(scope="module")
def laid_out(visits: Visits) -> dict[str, object]:
    """The pieces and firings that the pages are about, and that no test of this file moves."""
    return lay_out(visits.store)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, migrate: Callable[[str], None]) -> Flask:
    """The application, to ask it for its addresses."""
    database = f"sqlite:///{tmp_path_factory.mktemp('addresses') / 'studio.sqlite'}"
    migrate(database)
    open_studio(database).close()
    app = create_app(Settings(database=database))
    app.extensions["footring"].store.close()
    return app


ENDPOINTS = {address: endpoint for endpoint, addresses in PAGES.items() for address in addresses}
EVERYWHERE: dict[str, list[str]] = {}
for _who, _address in everybody_everywhere():
    # Whoever may do most comes first: the others' pages are mostly parts of theirs.
    EVERYWHERE.setdefault(_address, []).insert(0, _who)

FRAMES_OF_EACH = 2
"""How many pages at least are looked at in the frame that a reader has around each."""
_kinds_seen: dict[str, set[object]] = {}
_looked_at: Counter[str] = Counter()


def test_no_page_is_forgotten_here(app: Flask) -> None:
    there = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in (rule.methods or ())}

    assert there - LEADS_ON - FILES == set(PAGES) == set(rights())
    for endpoint, right in rights().items():
        if isinstance(right, Right):
            assert vars(app.view_functions[endpoint])["allows"] == right


@pytest.mark.parametrize(("address", "readers"), [pytest.param(*one, id=one[0]) for one in EVERYWHERE.items()])
def test_a_page_has_nothing_against_it(
    visits: Visits, laid_out: dict[str, object], address: str, readers: list[str]
) -> None:
    """In a language whose texts are 40 % longer, for what has room for them has room for English.

    A page is looked at where it has an element of a kind that its endpoint's pages had not shown before.
    """
    found, seen = {}, _kinds_seen.setdefault(ENDPOINTS[address], set())
    for who in readers:
        page, there = visits.tab(VISITORS[who]), address.format(**laid_out)
        with in_pseudo():
            answer = page.context.request.get(there, max_redirects=0)
            assert answer.status == 200
            kinds = kinds_of(answer.text())
            if kinds <= seen and _looked_at[who] >= FRAMES_OF_EACH:
                continue
            page.goto(there)
        seen |= kinds
        _looked_at[who] += 1
        found[who] = faults(page)

    assert {who: what for who, what in found.items() if what} == {}


def test_no_page_of_the_manual_is_wider_than_a_window_that_is_just_too_wide_for_cards(visits: Visits) -> None:
    page = visits.tab(None)
    page.set_viewport_size({"width": 690, "height": 900})

    page.goto("/help")

    assert sticking_out_of_each(page, [f"/help/{name}" for name in manual.pages()]) == {}


@pytest.mark.parametrize("who", ["stranger", "student"])
def test_the_page_for_what_is_not_there_has_nothing_against_it(visits: Visits, who: str) -> None:
    page = visits.tab(VISITORS[who])

    answer = page.goto("/nowhere")

    assert answer is not None
    assert answer.status == 404
    assert faults(page) == {}


def test_a_form_with_problems_has_nothing_against_it(visits: Visits) -> None:
    page = visits.visit(TOM, "/pieces/new", viewport=PHONE)

    page.get_by_label("Height", exact=True).fill("3")
    page.get_by_label("Width", exact=True).fill("2 1/2 in")
    page.get_by_role("button", name="Register", exact=True).click()
    page.locator("#doubt").wait_for()

    assert faults(page) == {}


def test_a_new_piece_with_every_way_it_could_go_has_nothing_against_it(visits: Visits) -> None:
    page = visits.visit(MIRA, "/pieces/new", viewport=PHONE)
    page.locator("label.choice", has_text="jar with lid").click()
    page.get_by_label("Clay", exact=True).select_option("Lantern White")
    page.get_by_label("How it was made").select_option("slab")
    page.locator("label.choice", has_text="decorative").click()
    page.locator("summary", has_text="More").click()

    page.locator("button[value=look]").click()
    page.locator("#where").wait_for()

    assert faults(page) == {}


def test_every_kind_of_scan_line_has_nothing_against_it(visits: Visits) -> None:
    good, low = glazed(visits.store, "Ember Luster"), glazed(visits.store, "Plum Gloss")
    needs = glazed(visits.store, "Ember Luster", new=a_new_piece(clay="Lantern White", height_mm=240, fragile=True))
    page = visits.visit(TOM, "/scan?step=queue&route=raku", viewport=TABLET)

    scan(page, good, good, low, needs, "nonsense")
    answered(page, 5)

    assert faults(page) == {}


def test_both_answers_of_a_kilns_door_have_nothing_against_them(visits: Visits) -> None:
    good, other = glazed(visits.store, "Plum Gloss"), glazed(visits.store)
    pieces.queue(visits.store, asked_by(TOM, NOW), good, "low-fire")
    receipt = starting.start(visits.store, asked_by(TOM), "Front box", "low-fire", Cone.parse("04"))
    page = visits.visit(TOM, f"/firings/{receipt.extra['firing']}", viewport=TABLET)

    scan(page, good, other)
    answered(page, 2)

    assert faults(page) == {}
    firings.light(visits.store, asked_by(TOM), int(receipt.extra["firing"]))
    off_and_out(visits.store, asked_by(TOM), int(receipt.extra["firing"]), {good: Outcome.GOOD})


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
    job = tags_printed(store, asked_by(TOM), ref, slip).job.id
    pages = (f"/p/{ref}", f"/p/{ref}/glaze", f"/p/{ref}/known", f"/slip/{slip[1:]}", "/", "/waiting")
    more = ("/whose?height=120", f"/pickup?ref={ref}")
    papers = (f"/paper/tags?ref={ref}&ref={slip}", f"/paper/care?ref={ref}", "/printed", f"/printed/{job}")
    page = visits.visit(TOM, viewport={"width": 320, "height": 640})

    wide = {}
    for address in (*pages, *more, *papers):
        page.goto(address)
        wide[address] = sticks_out(page)

    assert {address: what for address, what in wide.items() if what} == {}
