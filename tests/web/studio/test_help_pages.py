"""The manual and the list of changes as they are read and searched in the tool."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room
from tracker.domain.studio.people import NewPerson
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.usecases.studio import catalog
from tracker.web.studio import manual

TABLE = "# Cones\n\nTwo of them.\n\n| cone | falls at |\n|---|---|\n| `06` | 999 °C |\n"


# ---- the pages ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("there", ["/help", "/help/rules", "/help?q=cone", "/changes"])
@pytest.mark.parametrize("who", [None, INES, TOM, ADA], ids=["stranger", "student", "staff", "instructor"])
def test_help_is_there_for_everybody(room: Room, who: NewPerson | None, there: str) -> None:
    visitor = room.visit(who) if who else room.stranger()

    assert visitor.get(there).status_code == 200


def test_every_page_leads_to_help(room: Room) -> None:
    assert room.stranger().get("/sign-in").text.count('href="/help"') == 1


def test_every_page_of_the_manual_is_shown_under_its_title(room: Room) -> None:
    stranger = room.stranger()

    shown = {name: stranger.get(f"/help/{name}").text for name in manual.pages()}

    assert len(shown) > 15
    assert [name for name, page in manual.pages().items() if f"<h1>{page.title}</h1>" not in _plain(shown[name])] == []


def test_every_link_in_the_manual_leads_to_a_page_and_a_place_on_it(room: Room) -> None:
    stranger = room.stranger()
    links = {link for page in manual.pages().values() for link in re.findall(r'href="([^"]+)"', page.html)}

    pages = {link.partition("#")[0] for link in links}
    places = [link.removeprefix("/help/").split("#") for link in links if "#" in link]

    assert {"/changes", "/help/rules"} <= pages
    assert {page: stranger.get(page).status_code for page in pages} == dict.fromkeys(pages, 200)
    assert places
    assert [place for name, place in places if place not in {one.anchor for one in manual.pages()[name].sections}] == []


def test_the_safety_page_has_this_studios_numbers_in_its_units(room: Room) -> None:
    before = _plain(room.stranger().get("/help/safety").text)
    ada = room.visit(ADA)
    practice = replace(COMMON_PRACTICE, fires=replace(COMMON_PRACTICE.fires, open_below_c=95.0))
    catalog.set_practice(room.store, room.asks(ADA), practice, confirmed=True)

    after = _plain(ada.get("/help/safety").text)

    assert "Keep the kiln shut above 120 °C" in before
    assert "Keep the kiln shut above 95 °C" in after


@pytest.mark.parametrize("name", ["nothing", "../changes", "index.md", "%2e%2e%2fchanges"])
def test_a_page_that_the_manual_does_not_have_is_not_found(room: Room, name: str) -> None:
    assert room.stranger().get(f"/help/{name}").status_code == 404


def test_what_changed_names_the_newest_version_first(room: Room) -> None:
    answer = room.stranger().get("/changes")

    assert "<h1>What changed</h1>" in answer.text
    assert re.findall(r"<h2[^>]*>([0-9.]+), ", answer.text)[0] > "0.1.0"
    assert answer.text.count("<li>") > 5


# ---- searching ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "first"),
    [
        pytest.param("leach tests", "/help/food#leach-tests", id="the plural"),
        pytest.param("Post radius", "/help/studio-file#kilns", id="one word of a key after another"),
        pytest.param("post_radius_mm", "/help/load-plans#from-a-file-without-a-database", id="a key"),
        pytest.param("FOOTRING_THREADS", "/help/server#environment-variables", id="a setting"),
        pytest.param("porcelain-outdoors", "/help/rules#every-rule", id="a rule"),
        pytest.param("change-studio", "/help/catalog#change-them-from-a-file", id="a command"),
        pytest.param("losses", "/help/firings#losses-and-costs-of-a-year", id="losses"),
        pytest.param("what did firings cost this year", "/help/firings#losses-and-costs-of-a-year", id="costs"),
        pytest.param("first password", "/help/people#passwords", id="two words"),
    ],
)
def test_a_search_leads_to_the_section_with_every_word(room: Room, question: str, first: str) -> None:
    answer = room.stranger().get("/help", query_string={"q": question})

    found = re.findall(r'<li><a href="(/help/[^"]+)">', answer.text)
    assert first in found[:3]


def test_what_was_searched_for_is_marked_and_stays_in_the_field(room: Room) -> None:
    answer = room.stranger().get("/help?q=propane")

    assert "<mark>propane</mark>" in answer.text
    assert 'value="propane"' in answer.text


def test_a_search_that_finds_nothing_says_so_and_shows_the_contents(room: Room) -> None:
    answer = room.stranger().get("/help?q=submarine")

    assert "No results" in answer.text
    assert 'href="/help/rules"' in answer.text


def test_where_no_section_has_every_word_those_with_most_of_them_are_shown(room: Room) -> None:
    answer = room.stranger().get("/help?q=how+does+a+submarine+restore+a+backup")

    assert "These pages have most of them." in answer.text
    found = re.findall(r'<li><a href="(/help/[^"]+)">', answer.text)
    assert found[0] == "/help/backup"
    assert "/help/backup#restore" in found[:5]


@pytest.mark.parametrize("question", ["", " ", "_", "?!", "%ff", "a" * 5_000, "*" * 300, "(" * 200 + "+a"])
def test_any_question_is_answered(room: Room, question: str) -> None:
    assert room.stranger().get(f"/help?q={question}").status_code == 200


def test_a_question_with_a_nul_is_told_that_it_cannot_be_read(room: Room) -> None:
    assert room.stranger().get("/help?q=%00").status_code == 400


def test_what_was_searched_for_is_shown_as_text(room: Room) -> None:
    answer = room.stranger().get("/help", query_string={"q": "<script>alert(1)</script> cone"})

    assert "<script>alert" not in answer.text


def test_a_word_is_found_at_its_beginning_only() -> None:
    pages = [manual.page_of("one", "# Kilns\n\nThe bisque kiln is a workhorse.\n")]

    assert manual.search("horse", pages).hits == ()
    assert len(manual.search("work", pages).hits) == 1


def test_a_word_in_a_heading_comes_before_the_same_word_in_a_text() -> None:
    text = "# Kilns\n\nAbout cones, cones and cones.\n\n## Cones\n\nThey fall.\n"

    hits = manual.search("cone", [manual.page_of("one", text)]).hits

    assert [hit.section.anchor for hit in hits] == ["cones", ""]


# ---- from Markdown to a page -------------------------------------------------------------------------------------


def test_html_in_a_text_is_shown_and_never_passed_on() -> None:
    page = manual.page_of(
        "one", "# One\n\nA <b onclick='x'>word</b>.\n\n<script>alert(1)</script>\n\n[go](javascript:x)\n"
    )

    assert "&lt;b onclick" in page.html
    assert not re.search(r"<(?!/?p>)", page.html)


def test_the_marks_around_a_drawn_table_are_not_shown() -> None:
    page = manual.page_of("one", f"# One\n\n<!-- rules -->\n{TABLE.partition('them.')[2].strip()}\n<!-- /rules -->\n")

    assert "rules" not in page.html
    assert "<table" in page.html


def test_a_table_folds_into_cards_that_name_their_columns() -> None:
    page = manual.page_of("one", TABLE)

    assert '<table class="folds">' in page.html
    assert '<th scope="row"><span><code>06</code></span></th>' in page.html
    assert '<td data-label="falls at"><span>999 °C</span></td>' in page.html


def test_a_text_without_a_title_is_no_page() -> None:
    with pytest.raises(ValueError, match="title"):
        manual.page_of("one", "Words.\n")


def _plain(html: str) -> str:
    return html.replace("&#39;", "'")
