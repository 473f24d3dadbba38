"""Today: what needs somebody now is there, and what does not is not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.studio import ADA, INES, MIRA, TOM
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.rules.engine import judge_in
from tracker.domain.studio.materials import Zone
from tracker.usecases.firing import firings, starting
from tracker.usecases.pieces import pieces, wishes
from tracker.usecases.pieces.shelves import refused_everywhere
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from tests.web.conftest import Room


def _tallied(page: str) -> list[str]:
    """The parts that Today counts something for, by their anchors."""
    counted = page.partition('<ul class="tallies">')[2].partition("</ul>")[0]
    return [one.partition('"')[0] for one in counted.split('href="#')[1:]]


def test_a_studio_where_nothing_waits_needs_nobody(room: Room) -> None:
    room.greenware()

    assert _tallied(room.visit(ADA).get("/today").text) == []


def test_an_open_question_is_the_instructors_and_not_the_staffs(room: Room) -> None:
    ref = room.bisqued().ref
    questions.ask(room.store, room.asks(INES), ref, "May it stay dry?")

    assert _tallied(room.visit(ADA).get("/today").text) == ["questions"]
    assert _tallied(room.visit(TOM).get("/today").text) == []


def test_a_kiln_that_cools_leads_to_its_unloading(room: Room) -> None:
    slip = room.greenware().ref
    number = int(starting.start(room.store, room.asks(TOM), "Front box", "bisque", Cone.parse("06")).extra["firing"])
    firings.put_in(room.store, room.asks(TOM), number, slip)
    firings.light(room.store, room.asks(TOM), number)
    firings.shut_off(room.store, room.asks(TOM), number)

    page = room.visit(TOM).get("/today").text

    assert _tallied(page) == ["kilns"]
    assert f'href="/firings/{number}/unload"' in page


def test_a_piece_that_stays_is_counted_after_four_weeks_and_not_before(room: Room) -> None:
    room.greenware(MIRA)

    room.clock.pass_by(days=27)
    assert _tallied(room.visit(TOM).get("/today").text) == []
    room.clock.pass_by(days=2)
    assert _tallied(room.visit(TOM).get("/today").text) == ["late"]


def test_a_glazed_piece_is_counted_once_no_firing_is_left_for_it(room: Room) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Ember Luster", Zone.OUTSIDE)
    assert _tallied(room.visit(TOM).get("/today").text) == []

    catalog.retire(room.store, room.asks(ADA), "route", "raku")

    [(row, finding)] = refused_everywhere(room.store.read, room.clock())
    assert (row.ref, finding.level) == (ref, Level.REFUSE)
    assert _tallied(room.visit(TOM).get("/today").text) == ["refused"]


@pytest.mark.parametrize("where", ["wished for", "queue", "kiln"])
def test_what_is_told_of_a_refused_piece_is_what_stands_against_it_where_it_was_to_be_fired(
    room: Room, where: str
) -> None:
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    if where == "wished for":
        wishes.wish(room.store, room.asks(INES), ref, "mid-range")
    else:
        pieces.queue(room.store, room.asks(TOM), ref, "mid-range")
    if where == "kiln":
        started = starting.start(room.store, room.asks(TOM), "Back box", "mid-range", Cone.parse("6"))
        firings.put_in(room.store, room.asks(TOM), int(started.extra["firing"]), ref)
    for name in ("raku", "low-fire"):
        catalog.retire(room.store, room.asks(ADA), "route", name)
    route = room.store.read.catalog().routes["mid-range"]

    catalog.change(room.store, room.asks(ADA), replace(route, cone=Cone.parse("7")), confirmed=True)

    [(row, finding)] = refused_everywhere(room.store.read, room.clock())
    after = room.store.read.catalog()
    against = judge_in(after, row.piece, after.routes["mid-range"]).of(Level.REFUSE)
    assert (row.ref, finding.message) == (ref, against[0].message)
    assert ("Take it out of Back box." in room.visit(TOM).get("/today").text) is (where == "kiln")
