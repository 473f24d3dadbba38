"""The catalog's pages: what stands where, and changing it with every mistake beside its field."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pypdfium2
import pytest

from tests.studio import ADA, INES, TOM, a_glaze
from tests.web.conftest import Room, Visitor
from tests.web.pieces.test_pages import words
from tracker.domain.cones import Cone
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.kilns import Furniture
from tracker.domain.studio.kilns import Room as Chamber
from tracker.domain.studio.materials import FoodStanding, HowOn, Trait, Zone
from tracker.domain.studio.settings import CorrectionPractice, LogPractice
from tracker.forms.studio.studio_file import read_studio, write_studio
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import catalog

GLAZE = {
    "name": "Tin Roof",
    "family": "mid-range",
    "cone_low": "5",
    "cone_high": "6",
    "food": "untested",
    "coat": "glaze",
    "traits": ["runny"],
    "metals": "tin, zinc",
    "goes_on": ["dip", "pour"],
    "bucket": "shelf 4",
    "color": "gray",
}


def sent(room: Room, **facts: Any) -> dict[str, Any]:  # noqa: ANN401 -- any field of a form
    """The fields of the glaze form as a browser sends them, decided on the catalog as it is now."""
    return GLAZE | {"seen": room.store.read.version()} | facts


def still_water(room: Room, **facts: Any) -> dict[str, Any]:  # noqa: ANN401 -- as above
    """The form for Still Water as it is, but for `facts`."""
    plain = {"old": "Still Water", "name": "Still Water", "food": "declared", "traits": [], "metals": "", "color": ""}
    return sent(room, **(plain | {"goes_on": ["dip"], "bucket": "shelf 2"} | facts))


def in_queue(room: Room) -> str:
    """The code of a piece in Still Water that waits for the mid-range kiln."""
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    return ref


@pytest.fixture
def ada(room: Room) -> Visitor:
    """The instructor at her desk."""
    return room.visit(ADA)


def test_firing_types_that_are_pulled_hot_show_the_heat_of_the_pull(ada: Visitor) -> None:
    page = ada.get("/catalog?part=routes").text

    assert "pulled at 982 °C" in page
    assert "cone 6, 1,222 °C" in page


def test_the_page_lists_what_there_is_with_its_heat(ada: Visitor) -> None:
    page = "".join(ada.get(f"/catalog?part={part}").text for part in ("", "clays", "kilns"))

    for said in (
        "Plum Gloss",
        "cone 06 to 04, 998 °C to 1,063 °C",
        "Doorstep Buff",
        "Yard drum",
        "Print the wall chart",
    ):
        assert said in page


def test_each_part_is_searched_sorted_and_paged(room: Room, ada: Visitor) -> None:
    for count in range(14):
        catalog.add(room.store, room.asks(ADA), a_glaze(f"Zinc {count:02}"))

    def named(address: str) -> list[str]:
        return re.findall(r"Zinc \d\d(?=</b>)", ada.get(address).text)

    assert named("/catalog?find=zinc&sort=name") == [f"Zinc {count:02}" for count in range(10)]
    assert named("/catalog?find=zinc&sort=name&from=10") == [f"Zinc {count:02}" for count in range(10, 14)]
    clays = ada.get("/catalog?part=clays&find=gray").text
    assert "Middle Gray" in clays
    assert "Doorstep Buff" not in clays


def test_what_is_retired_stands_behind_a_fold(room: Room, ada: Visitor) -> None:
    catalog.retire(room.store, room.asks(ADA), "glaze", "Gilt Edge")

    page = ada.get("/catalog").text

    assert "Retired: 1" in page
    assert page.index("Retired: 1") < page.index("Gilt Edge")


def test_a_new_glaze_is_entered_as_it_was_sent(room: Room, ada: Visitor) -> None:
    ada.get("/catalog/glaze/form")

    answer = ada.post("/catalog/glaze", sent(room))

    assert answer.status_code == 303
    assert room.store.read.catalog().glaze("Tin Roof") == a_glaze(
        "Tin Roof",
        food=FoodStanding.UNTESTED,
        traits=frozenset({Trait.RUNNY}),
        metals=frozenset({"tin", "zinc"}),
        goes_on=frozenset({HowOn.DIP, HowOn.POUR}),
        bucket="shelf 4",
        color="gray",
    )


@pytest.mark.parametrize(
    ("sort", "facts", "says"),
    [
        (
            "glaze",
            {"cone_low": "6", "cone_high": "06"},
            "Cone 6, 1,222 °C is hotter than cone 06, 998 °C",
        ),
        ("glaze", {"name": ""}, "Enter a name."),
        ("glaze", {"cone_low": "6 or so"}, "isn&#39;t a cone"),
        ("glaze", {"metals": "copper, leed"}, "isn&#39;t a metal"),
        ("route", {"name": "Big Fire", "title": "Big fire", "kind": "shelf", "cone": "6"}, "lowercase letters"),
        ("kiln", {"routes": []}, "Choose at least one firing type."),
        ("kiln", {"routes": ["raku"], "shape": "round", "height": "400"}, "Measure this too"),
        ("kiln", {"routes": ["raku"], "shelf": "rectangular", "shelf_width": "400"}, "Measure this too"),
        (
            "kiln",
            {"routes": ["raku"], "shelf": "round", "shelf_across": "400", "shelf_thick": "15"},
            "Enter at least one post length.",
        ),
        ("kiln", {"routes": ["raku"], "containers": "a big one"}, "168"),
    ],
)
def test_a_mistake_stands_beside_its_field(
    room: Room, ada: Visitor, sort: str, facts: dict[str, Any], says: str
) -> None:
    before = room.store.read.studio()

    answer = ada.post(f"/catalog/{sort}", sent(room, **facts))

    assert answer.status_code == 422
    assert says in answer.text
    assert 'class="error"' in answer.text
    assert room.store.read.studio() == before


def test_a_change_that_would_move_pieces_names_them_and_waits_for_a_tick(room: Room, ada: Visitor) -> None:
    ref = in_queue(room)
    ada.get("/catalog/glaze/form?name=Still+Water")

    asked = ada.post("/catalog/glaze", still_water(room, cone_high="5"))
    kept = room.piece(ref).stage
    done = ada.post("/catalog/glaze", still_water(room, cone_high="5", confirmed="yes"))

    assert asked.status_code == 409
    assert f"1 piece would leave the Mid-range queue: {ref}." in asked.text
    assert "glaze Still Water: top cone 6 → 5 (1,222 °C → 1,186 °C)" in asked.text
    assert kept is Stage.QUEUED
    assert done.status_code == 303
    assert room.piece(ref).stage is Stage.GLAZED
    assert f"1 piece left the Mid-range queue: {ref}." in ada.get("/catalog").text
    assert room.store.read.catalog().glaze("Still Water").cone_high == Cone.parse("5")


def test_what_comes_out_wrong_of_a_hot_kiln_is_named_where_it_matters(room: Room, ada: Visitor) -> None:
    ref = in_queue(room)
    firing = int(starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM), firing, ref)
    firings.light(room.store, room.asks(TOM), firing)
    ada.get("/catalog/glaze/form?name=Still+Water")

    asked = ada.post("/catalog/glaze", still_water(room, cone_low="3", cone_high="3"))
    ada.post("/catalog/glaze", still_water(room, cone_low="3", cone_high="3", confirmed="yes"))
    firings.shut_off(room.store, room.asks(TOM), firing)

    assert asked.status_code == 409
    assert "OK to save: these pieces stay in the kiln" in asked.text
    for page in ("/catalog", f"/firings/{firing}", f"/firings/{firing}/unload", f"/p/{ref}"):
        assert "it melts off the pot onto the shelf" in ada.get(page).text, page
    assert all("1 piece comes out wrong" in ada.get(page).text for page in ("/firings", "/today"))
    assert ada.get(f"/firings/{firing}/unload").text.count("Drips are razor-sharp.") == 2
    # It isn't good with the rest: whoever takes it out says how it came out.
    assert ada.post(f"/firings/{firing}/unload", {"rest": "good", "fired": "yes"}).status_code == 422
    assert room.piece(ref).stage is Stage.QUEUED


def test_a_stale_page_is_told_in_one_sentence_and_keeps_what_was_typed(room: Room, ada: Visitor) -> None:
    fields = sent(room)
    catalog.add(room.store, room.asks(ADA), a_glaze("Slate Roof"))

    answer = ada.post("/catalog/glaze", fields)

    assert answer.status_code == 409
    assert "Someone else changed the catalog while you were looking at it." in answer.text
    assert 'value="Tin Roof"' in answer.text


def test_retiring_is_asked_once_more_and_can_be_taken_back(room: Room, ada: Visitor) -> None:
    assert "Retire Gilt Edge?" in ada.get("/catalog/glaze/retire?name=Gilt+Edge").text

    ada.post("/catalog/glaze/retire", {"name": "Gilt Edge", "seen": room.store.read.version()})
    retired = room.store.read.catalog().glaze("Gilt Edge").retired
    ada.post("/catalog/glaze/retire", {"name": "Gilt Edge", "seen": room.store.read.version()})

    assert retired
    assert not room.store.read.catalog().glaze("Gilt Edge").retired


def test_what_cannot_be_retired_says_why_without_a_button(ada: Visitor) -> None:
    page = ada.get("/catalog/route/retire?name=bisque").text

    assert "The bisque firing must stay: every piece needs it." in page
    assert "/catalog/route/retire" not in page


def test_a_kiln_gets_its_measures(room: Room, ada: Visitor) -> None:
    fields = {
        "old": "Yard drum",
        "routes": ["raku", "horsehair"],
        "outdoor": "yes",
        "shape": "round",
        "height": "45 cm",
        "across": "400",
        "clearance": "20",
        "shelf": "halves",
        "shelf_across": "36 cm",
        "shelf_thick": "15",
        "posts": "100, 50mm, 150",
        "post_radius": "",
        "atmosphere": "reduction",
        "tongs_g": "3000",
        "containers": "400 x 350\n500 x 300 x 250",
        "seen": room.store.read.version(),
    }

    answer = ada.post("/catalog/kiln", fields)

    kiln = room.store.read.catalog().kiln("Yard drum")
    assert answer.status_code == 303
    assert kiln.chamber == Chamber(height_mm=450, round_mm=400, clearance_mm=20)
    assert kiln.containers == (
        Chamber(height_mm=400, round_mm=350),
        Chamber(height_mm=500, width_mm=300, depth_mm=250),
    )
    assert kiln.furniture == Furniture(round_mm=360, halves=True, thickness_mm=15, posts_mm=(50, 100, 150))
    assert "500 x 300 x 250" in ada.get("/catalog/kiln/form?name=Yard+drum").text


def test_the_practice_is_settled_on_its_page(room: Room, ada: Visitor) -> None:
    fields = {
        "large_porcelain_mm": "120",
        "food_absorption_pct": "2,5",
        "foot_clear_mm": "5",
        "tongs_g": "4000",
        "thick_wall_mm": "20",
        "glaze_dries_hours": "48",
        "regime": "eu",
        "seen": room.store.read.version(),
        "confirmed": "yes",
    }

    answer = ada.post("/catalog/practice", fields)

    practice = room.store.read.catalog().practice
    assert answer.status_code == 303
    assert (practice.large_porcelain_mm, practice.food_absorption_pct, practice.regime) == (120, 2.5, "eu")


def test_the_numbers_of_a_group_are_settled_beside_the_others_and_shown_again(room: Room, ada: Visitor) -> None:
    plain = {"food_absorption_pct": "3", "regime": "eu", "confirmed": "yes"}

    wrong = ada.post("/catalog/practice", plain | {"logs-few": "1,5", "fires-leeway": "a bit"})
    right = plain | {"seen": room.store.read.version(), "logs-gap_min": "20", "corrections-firings": "4"}
    answer = ada.post("/catalog/practice", right)

    assert wrong.status_code == 422
    assert "Use a whole number from 2 to 1,000." in words(wrong)
    assert "Use a number from 1 to 10." in words(wrong)
    assert answer.status_code == 303
    practice = room.store.read.catalog().practice
    assert (practice.logs, practice.corrections) == (LogPractice(gap_min=20), CorrectionPractice(firings=4))
    assert 'name="logs-gap_min" type="text" value="20"' in ada.get("/catalog/practice").text


def test_the_file_that_is_downloaded_is_the_studio(room: Room, ada: Visitor) -> None:
    answer = ada.get("/catalog/studio.toml")

    assert read_studio(answer.text) == room.store.read.studio()
    assert "attachment" in answer.headers["Content-Disposition"]


def test_a_file_shows_what_it_would_change_before_it_is_taken_over(room: Room, ada: Visitor) -> None:
    ref, before = in_queue(room), write_studio(room.store.read.studio())
    start = before.index('name = "Still Water"')
    text = before[:start] + before[start:].replace('cone_high = "6"', 'cone_high = "5"', 1)
    ada.get("/catalog/file")

    looked = ada.post("/catalog/file", {"file": (BytesIO(text.encode()), "studio.toml")})
    unchanged = write_studio(room.store.read.studio())
    taken = ada.post(
        "/catalog/file", {"text": text, "take": "yes", "confirmed": "yes", "seen": room.store.read.version()}
    )

    assert "glaze Still Water: top cone 6 → 5 (1,222 °C → 1,186 °C)" in looked.text
    assert f"1 piece would leave the Mid-range queue: {ref}." in looked.text
    assert unchanged == before
    assert taken.status_code == 303
    assert room.store.read.studio() == read_studio(text)
    assert room.piece(ref).stage is Stage.GLAZED


def test_a_file_with_mistakes_names_each_with_its_line(ada: Visitor) -> None:
    ada.get("/catalog/file")

    answer = ada.post("/catalog/file", {"file": (BytesIO(b'[studio]\nname = "x"\n'), "studio.toml")})

    assert answer.status_code == 422
    assert "line 1: " in answer.text


def test_the_wall_chart_is_a_pdf_with_every_glaze_in_use(room: Room, ada: Visitor) -> None:
    answer = ada.get("/catalog/chart.pdf?paper=letter")

    document = pypdfium2.PdfDocument(answer.data)
    says = " ".join(document[0].get_textpage().get_text_bounded().split())
    document.close()
    assert answer.mimetype == "application/pdf"
    assert all(name in says for name in room.store.read.catalog().glazes)


def test_only_the_instructor_sees_the_catalog(room: Room) -> None:
    for someone in (TOM, INES):
        visitor = room.visit(someone)

        assert visitor.get("/catalog").status_code == 403
        assert visitor.post("/catalog/glaze", sent(room)).status_code == 403


def test_there_are_four_shelves_and_no_other(ada: Visitor) -> None:
    assert ada.get("/catalog/wheel/form").status_code == 404
    assert ada.get("/catalog/glaze/form?name=Nobody").status_code == 404
    assert ada.get("/catalog/chart.pdf?paper=parchment").status_code == 404
