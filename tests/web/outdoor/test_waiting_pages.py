"""The outdoor kiln: who waits for raku and horsehair, warnings and questions first, and the cautions always."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.studio import ADA, INES, TOM
from tracker.domain.pieces.piece import Build
from tracker.domain.studio.cautions import Danger
from tracker.domain.studio.materials import Zone
from tracker.usecases.labels.studio_labels import kiln_door
from tracker.usecases.labels.tags import tag_of
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.wording.reader import ANYONE

if TYPE_CHECKING:
    from typing import Any

    from tests.web.conftest import Room

ACCEPTED = {"porcelain-outdoors", "fragile-outdoors", "horsehair-unburnished"}


def for_raku(room: Room, **facts: Any) -> str:  # noqa: ANN401 -- any fact of a piece
    """The code of a piece in Ember Luster that waits for the raku kiln, its glaze dry and its warnings accepted."""
    ref = room.bisqued(**facts).ref
    dry = replace(room.asks(TOM), at=room.clock() - timedelta(days=2))
    pieces.glaze(room.store, dry, ref, "Ember Luster", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "raku", accepts=ACCEPTED)
    return ref


def test_what_was_accepted_with_a_warning_stands_first_with_its_sentence(room: Room) -> None:
    plain = for_raku(room, what="plain bowl", clay="Gravel Walk")
    risky = for_raku(room, what="slab box", clay="Lantern White", build=Build.SLAB)

    page = room.visit(ADA).get("/outdoor").text

    first = page[page.index("Check these first") : page.index("Sessions")]
    assert risky in first
    assert "crack" in first
    assert plain not in first
    assert all(ref in page[page.index("All waiting pieces") :] for ref in (plain, risky))


def test_an_open_question_about_an_outdoor_route_is_looked_at_first(room: Room) -> None:
    ref = room.bisqued().ref
    questions.ask(room.store, room.asks(INES), ref, "May the clear go over my underglaze?", route="raku")

    page = room.visit(ADA).get("/outdoor").text

    first = page[page.index("Check these first") : page.index("Sessions")]
    assert ref in first
    assert "May the clear go over my underglaze?" in first


def test_the_page_says_how_many_wait_of_each_firing_and_how_long(room: Room) -> None:
    for_raku(room, clay="Gravel Walk")
    ref = room.bisqued(burnished=True).ref
    pieces.queue(room.store, room.asks(TOM), ref, "horsehair")
    room.clock.pass_by(days=9)

    page = room.visit(ADA).get("/outdoor").text

    assert "2 pieces are waiting. Longest wait: 9 days." in page
    assert all(re.search(rf'route={route}">[^<]+<b>1</b>', page) for route in ("raku", "horsehair"))
    assert 'class="route' not in page
    assert "none, burnished" in page


def test_what_waits_indoors_is_not_on_the_list(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "mid-range")

    assert ref not in room.visit(ADA).get("/outdoor").text


def test_the_cautions_are_there_even_when_nothing_waits(room: Room) -> None:
    page = room.visit(TOM).get("/outdoor").text

    assert all(f'data-danger="{danger}"' in page for danger in (Danger.HOT_WARE, Danger.GAS, Danger.FIRE))


def test_horsehair_is_told_at_its_own_heat_wherever_its_firing_is_named(room: Room) -> None:
    ref = room.bisqued(burnished=True).ref
    pieces.queue(room.store, room.asks(TOM), ref, "horsehair")
    visitor, studio = room.visit(ADA), room.store.read.studio()

    queue, waiting, piece = (visitor.get(page).text for page in ("/waiting?route=horsehair", "/outdoor", f"/p/{ref}"))
    (row,) = room.store.read.pieces.waiting(["horsehair"])
    tag = tag_of(row, studio.catalog, "", ANYONE, is_reprint=False)
    card = " ".join(part.text for part in kiln_door(studio.catalog.kiln("Yard drum"), studio, ANYONE).parts)

    assert "Pulled at 700 °C" in queue
    assert "pulled at 700 °C" in waiting
    assert "700 °C" in piece[piece.index("It waits for") :]
    assert tag.route == "Outdoor, horsehair, 700 °C"
    assert "Pull at 700 °C. Lay the hair on between 700 °C and 480 °C." in card
    assert all("cone 010" not in told for told in (queue, waiting, tag.route, card))


def test_a_warning_is_said_once_with_every_piece_it_is_about(room: Room) -> None:
    refs = [for_raku(room, clay="Lantern White", build=Build.SLAB) for _ in range(2)]

    page = room.visit(ADA).get("/outdoor").text

    [warned] = re.findall(r'<li class="route warn.*?</ul>\s*</li>', page, re.DOTALL)
    assert all(ref in warned for ref in refs)
