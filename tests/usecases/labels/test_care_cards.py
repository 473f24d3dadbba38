"""The care card says of each piece how hot it was last fired, never the hottest that it has seen."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.staffed import ADA, TOM, asked_by, bisqued, fired, open_studio, started, the_piece, unload
from tests.studio import a_glaze, a_new_piece, a_studio
from tests.yard import fire_round, planned_session
from tracker.domain.cones import Cone
from tracker.domain.outdoor.pull_heats import pulled_at
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.kilns import KNOWN_ROUTES, Kiln, RouteKind
from tracker.domain.studio.materials import Coat, Zone
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.labels.home_papers import card_of
from tracker.usecases.pieces import pieces
from tracker.wording.reader import ANYONE
from tracker.wording.render import read, say

LUSTER = a_glaze("Tin Moon", coat=Coat.OVERGLAZE, cone_low="019", cone_high="018")
STUDIO = with_thing(
    with_thing(with_thing(a_studio(), LUSTER), KNOWN_ROUTES["overglaze"]),
    Kiln(name="Small box", routes=frozenset({"overglaze"})),
)


@pytest.fixture
def luster_store(database_url: str) -> Iterator[Store]:
    """A studio that fires overglazes too, on each engine in turn."""
    opened_store = open_studio(database_url, STUDIO)
    yield opened_store
    opened_store.close()


def test_a_luster_piece_names_its_overglaze_firing_with_that_firings_cone_after_its_glaze_firing(
    luster_store: Store,
) -> None:
    ref = fired(luster_store)
    pieces.fire_again(luster_store, asked_by(ADA), ref, "luster on the rim")
    pieces.glaze(luster_store, asked_by(TOM), ref, "Tin Moon", Zone.OUTSIDE)
    pieces.queue(luster_store, asked_by(TOM), ref, "overglaze")
    firing = started(luster_store, "Small box", "overglaze", "018")
    firings.put_in(luster_store, asked_by(TOM), firing, ref)
    unload(luster_store, firing, {ref: Outcome.GOOD})

    page = luster_store.read.pieces.page(the_piece(luster_store, ref).id)
    card = repr(card_of(page, luster_store.read.studio(), ANYONE))

    first, last = read(Cone.parse("6"), ANYONE), read(Cone.parse("018"), ANYONE)
    assert f"fired Mid-range, {first}, then Overglaze, {last}; ticket W" in card
    assert page.piece.fired_to == Cone.parse("6")


def test_a_horsehair_piece_names_the_heat_at_which_it_was_pulled(store: Store) -> None:
    ref = bisqued(store, a_new_piece(burnished=True))
    pieces.queue(store, asked_by(TOM), ref, "horsehair")
    number = planned_session(store)
    fire_round(store, number)

    page = store.read.pieces.page(the_piece(store, ref).id)
    card = repr(card_of(page, store.read.studio(), ANYONE))

    pulled = say(pulled_at(RouteKind.HORSEHAIR, COMMON_PRACTICE.outdoors), ANYONE)
    assert f"fired Outdoor, horsehair, {pulled}; ticket W" in card
    assert read(page.piece.fired_to, ANYONE) not in card
