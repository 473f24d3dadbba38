"""Scanning a glaze bucket where a piece is glazed: that glaze is taken, with its verdict for this very piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.printing.labels.tags import text_of
from tests.studio import ADA, INES, TOM
from tests.web.labels.test_tag_pages import codes_on
from tracker.domain.pieces.piece import Use
from tracker.domain.studio.materials import Zone
from tracker.usecases.pieces import pieces

if TYPE_CHECKING:
    from tests.web.conftest import Room

BIG_ROLL = "Roll, 100 x 50 mm"


def test_a_scanned_bucket_takes_its_glaze(room: Room) -> None:
    cup, ines = room.bisqued(clay="Middle Gray"), room.visit(INES)

    answer = ines.get(f"/p/{cup.ref}/glaze?find=B.Still+Water")
    page = ines.get(answer.location).text

    assert answer.status_code == 303
    assert 'name="glaze" value="Still Water" checked' in page
    assert "cone 5 to 6" in page.partition('id="taken"')[2][:400]


def test_the_bar_on_a_printed_label_is_what_the_glazing_page_understands(room: Room) -> None:
    cup, tom = room.bisqued(clay="Middle Gray"), room.visit(TOM)
    label = tom.prints("buckets", {"things": "Still Water", "stock": BIG_ROLL, "dpi": "203"})
    [bar] = codes_on(label.data)

    there = tom.get(f"/p/{cup.ref}/glaze", query_string={"find": bar}).location
    tom.get(there)
    tom.post(f"/p/{cup.ref}/glaze", {"glaze": "Still Water", "zone": "outside", "foot": "waxed"})

    assert room.piece(cup.ref).worn_names == ("Still Water",)


def test_a_bucket_that_cannot_go_on_this_piece_says_why_and_takes_nothing(room: Room) -> None:
    cup, ines = room.bisqued(use=Use.FOOD, clay="Middle Gray"), room.visit(INES)

    page = ines.get(ines.get(f"/p/{cup.ref}/glaze?find=B.Ember+Luster").location).text

    taken = page.partition('id="taken"')[2].partition("</div>")[0]
    assert "can't go on" in taken
    assert 'value="Ember Luster" checked' not in page


def test_a_second_layer_may_be_scanned_onto_a_glazed_piece(room: Room) -> None:
    cup = room.bisqued(clay="Middle Gray")
    pieces.glaze(room.store, room.asks(TOM), cup.ref, "Still Water", Zone.OUTSIDE)
    ines = room.visit(INES)

    page = ines.get(ines.get(f"/p/{cup.ref}/glaze?find=B.still+water").location).text

    assert 'name="glaze" value="Still Water" checked' in page


@pytest.mark.parametrize(
    ("scanned", "says"),
    [
        ("B.Nowhere Blue", "no glaze called"),
        ("S.rack 3", "isn&#39;t a bucket barcode"),
    ],
)
def test_what_is_no_bucket_is_said_and_takes_nothing(room: Room, scanned: str, says: str) -> None:
    cup = room.bisqued()

    answer = room.visit(INES).get(f"/p/{cup.ref}/glaze", query_string={"find": scanned})

    assert answer.status_code in {404, 422}
    assert says in answer.text


def test_a_bucket_label_names_cones_food_and_metals(room: Room) -> None:
    ada = room.visit(ADA)

    text = text_of(ada.prints("buckets", {"things": "Ember Luster", "stock": BIG_ROLL}).data)

    assert text.startswith("Ember Luster")
    assert all(words in text for words in ("cone 06", "998", "Food:", "Never indoors", "Never on a functional piece"))


def test_every_glaze_on_the_shelf_can_be_printed_at_once(room: Room) -> None:
    tom = room.visit(TOM)
    page = tom.get("/paper/buckets").text
    names = [glaze.name for glaze in room.store.read.catalog().glazes.values() if not glaze.retired]

    answer = tom.prints("buckets", {"all": "yes", "stock": "A4, 2 x 4, 99.06 x 67.73 mm"})

    assert all(f'value="{name}"' in page for name in names)
    assert len(codes_on(answer.data)) == min(8, len(names))
