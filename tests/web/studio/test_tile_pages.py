"""Test tiles on the pages: added to a glaze from its page in the catalog, seen by all, removed by the instructor."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from urllib.parse import quote_plus

import pytest
from PIL import Image

from tests.photographed import tiled, written
from tests.studio import ADA, INES, TOM
from tests.web.conftest import Room
from tests.web.pieces.test_photo_pages import multipart
from tracker.domain.cones import Cone
from tracker.domain.pieces.photos import MOST_BYTES
from tracker.domain.studio.materials import Surface
from tracker.usecases.studio import catalog as catalog_use

if TYPE_CHECKING:
    from tracker.domain.studio.people import NewPerson

ENTRY = "/catalog/glaze/form?name=Still+Water"


def send(room: Room, by: NewPerson = ADA, raw: bytes = b"", **told: str) -> str:
    """Send a tile of Still Water; gives where the answer leads to, or its status."""
    fields = {"clay": "Doorstep Buff", "cone": "6"} | told
    raw = raw or written(Image.new("RGB", (60, 40), "#3a5484"))
    answer = multipart(room.visit(by), "/tiles?glaze=Still+Water", raw, "tile.jpg", **fields)
    return answer.headers.get("Location") or str(answer.status_code)


def test_a_tile_sent_from_a_glazes_page_is_shown_there_with_its_color_and_firing(room: Room) -> None:
    there = send(room, atmosphere="oxidation")

    page = room.visit(ADA).get(ENTRY).text

    (tile,) = room.store.read.tiles.of_glaze("Still Water")
    assert there == "/catalog/glaze/form?name=Still+Water#tiles"
    assert f'href="/tiles/{tile.stem}"' in page
    assert 'alt="Still Water on Doorstep Buff, cone 6, oxidation"' in page
    assert f'fill="{tile.swatch}"' in page


def test_a_cone_outside_the_glazes_own_is_asked_about_once_and_such_a_tile_never_leads(room: Room) -> None:
    good = tiled(room.store, "Still Water", room.person(ADA))

    asked = send(room, cone="06", atmosphere="oxidation")
    page = room.visit(ADA).get(asked.partition("#")[0]).text

    assert [tile.stem for tile in room.store.read.tiles.of_glaze("Still Water")] == [good]
    assert 'name="tile_cone" value="06"' in page
    assert '<option value="06" selected>' in page
    send(room, cone="06", atmosphere="oxidation", tile_cone="06")
    first, last = room.store.read.tiles.of_glaze("Still Water")
    assert (first.stem, str(last.cone), last.is_off) == (good, "06", True)
    assert room.store.read.tiles.best_for(last.clay, last.cone)["Still Water"] == first


@pytest.mark.parametrize("who", [INES, TOM, ADA], ids=["student", "staff", "instructor"])
def test_everybody_sees_a_tile_and_only_the_instructor_may_remove_it(room: Room, who: NewPerson) -> None:
    stem, visitor = tiled(room.store, "Still Water", room.person(ADA)), room.visit(who)

    page, small = visitor.get(f"/tiles/{stem}"), visitor.get(f"/tiles/{stem}/small")

    assert (small.status_code, small.mimetype) == (200, "image/jpeg")
    assert (f"/tiles/{stem}/remove" in page.text) is (who is ADA)
    assert visitor.post(f"/tiles/{stem}/remove").status_code == (303 if who is ADA else 403)
    assert (visitor.get(f"/tiles/{stem}").status_code == 404) is (who is ADA)


@pytest.mark.parametrize("who", [INES, TOM], ids=["student", "staff"])
def test_nobody_else_adds_a_tile(room: Room, who: NewPerson) -> None:
    assert send(room, who) == "403"


@pytest.mark.parametrize("told", [{"clay": ""}, {"cone": "zero"}, {"clay": "No such clay"}, {"raw": b"not a photo"}])
def test_what_cannot_be_used_is_refused_on_the_page_of_the_glaze(room: Room, told: dict[str, object]) -> None:
    there = send(room, **told)  # type: ignore[arg-type]  # each is one of what is sent

    assert there == f"/catalog/glaze/form?name={quote_plus('Still Water')}#tiles"
    assert room.store.read.tiles.of_glaze("Still Water") == ()


def test_a_tile_that_is_too_heavy_leads_back_to_its_glaze(room: Room) -> None:
    there = send(room, raw=b"\xff\xd8\xff" + bytes(MOST_BYTES + 100_000))

    assert there == f"/catalog/glaze/form?name={quote_plus('Still Water')}#tiles"


def test_there_is_no_picture_of_a_third_size(room: Room) -> None:
    stem = tiled(room.store, "Still Water", room.person(ADA), cone=str(Cone.parse("5")))

    assert room.visit(INES).get(f"/tiles/{stem}/huge").status_code == 404


def test_the_catalog_is_searched_by_color_and_surface_and_shows_the_tiles(room: Room) -> None:
    ada, catalog = room.visit(ADA), room.store.read.catalog()
    blue, green = (tiled(room.store, name, room.person(ADA), color=color) for name, color in _COLORS.items())
    satin = replace(catalog.glaze("Iron Gate"), surface=Surface.SATIN)
    catalog_use.change(room.store, room.asks(ADA), satin)

    both, only_blue, only_satin, nothing = (
        ada.get(f"/catalog?{asked}").text for asked in ("", "color=blue", "surface=satin", "find=sea+monster")
    )

    assert all(f'src="/tiles/{stem}/small"' in both for stem in (blue, green))
    assert f"/tiles/{blue}/" in only_blue
    assert f"/tiles/{green}/" not in only_blue
    assert "/catalog/glaze/form?name=Iron+Gate" in only_satin
    assert "/tiles/" not in only_satin
    assert "/catalog/glaze/form?name=" not in nothing


_COLORS = {"Still Water": "#2a4a8c", "Wet Slate": "#547c4e"}
