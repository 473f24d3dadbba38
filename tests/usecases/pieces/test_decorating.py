"""Slip, underglaze and terra sigillata go on greenware; raw glaze does where the studio fires once, with leave."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.reading import tells
from tests.staffed import ADA, MIRA, TOM, asked_by, open_studio, started, the_piece, unload
from tests.studio import a_clay, a_glaze, a_new_piece, a_studio
from tracker.domain.cones import Cone
from tracker.domain.findings import NeedsInstructor
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAStep
from tracker.domain.rules.engine import NO_ROUTE_LEFT
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.kilns import KNOWN_ROUTES, Kiln
from tracker.domain.studio.materials import Coat, Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.labels.tags import tags_of
from tracker.usecases.pieces import editing, pieces, undoing
from tracker.usecases.pieces.glaze_shelf import candidates_for
from tracker.usecases.rules import questions
from tracker.wording.reader import ANYONE

CHALK = a_glaze("Chalk", coat=Coat.SLIP, cone_low="06", cone_high="6")
NEVER_FIRED = a_clay("Bank Clay", cone_low="020", cone_high="018")
"""A clay that melts in every firing of the studio."""
STUDIO = with_thing(with_thing(a_studio(), CHALK), NEVER_FIRED)
FIRES_ONCE = with_thing(
    with_thing(STUDIO, KNOWN_ROUTES["once-fire"]), Kiln(name="Once box", routes=frozenset({"once-fire"}))
)


@pytest.fixture
def slip_store(database_url: str) -> Iterator[Store]:
    """The studio with a slip on its shelf, on each engine in turn."""
    opened_store = open_studio(database_url, STUDIO)
    yield opened_store
    opened_store.close()


@pytest.fixture
def once_store(database_url: str) -> Iterator[Store]:
    """A studio that also fires raw glazed greenware once."""
    opened_store = open_studio(database_url, FIRES_ONCE)
    yield opened_store
    opened_store.close()


def greenware(store: Store) -> str:
    """A piece on the greenware shelf."""
    return pieces.register(store, asked_by(MIRA), a_new_piece()).ref


def put_through(store: Store, kiln: str, route: str, cone: str, ref: str) -> None:
    """Fire one piece, which comes out well."""
    firing = started(store, kiln, route, cone)
    firings.put_in(store, asked_by(TOM), firing, ref, dry=True)
    unload(store, firing, {ref: Outcome.GOOD})


def test_slip_goes_on_greenware_and_is_fired_with_the_bisque(slip_store: Store) -> None:
    ref = greenware(slip_store)
    pieces.glaze(slip_store, asked_by(MIRA), ref, "Chalk", Zone.OUTSIDE)

    piece = the_piece(slip_store, ref)
    put_through(slip_store, "Front box", "bisque", "06", ref)

    bisqued = slip_store.read.pieces.piece(number=piece.id)
    assert (piece.stage, piece.worn_names) == (Stage.GREENWARE, ("Chalk",))
    assert bisqued is not None
    assert (bisqued.stage, bisqued.fired_to) == (Stage.BISQUED, Cone.parse("06"))
    assert [layer.fired_to for layer in bisqued.layers] == [Cone.parse("06")]


def test_a_glaze_waits_for_the_bisque_in_a_studio_that_fires_twice(slip_store: Store) -> None:
    with pytest.raises(NotAStep) as refused:
        pieces.glaze(slip_store, asked_by(MIRA), greenware(slip_store), "Still Water", Zone.OUTSIDE)

    assert refused.value.message.code == "not-on-greenware"


def test_the_last_coat_is_undone_and_greenware_stays_greenware(slip_store: Store) -> None:
    ref = greenware(slip_store)
    line = pieces.glaze(slip_store, asked_by(MIRA), ref, "Chalk", Zone.OUTSIDE).line

    undoing.undo(slip_store, asked_by(MIRA), line or 0)

    assert (the_piece(slip_store, ref).stage, the_piece(slip_store, ref).layers) == (Stage.GREENWARE, ())


def test_raw_glaze_fires_once_with_the_instructors_leave_and_gets_its_code_on_the_way(once_store: Store) -> None:
    ref = greenware(once_store)
    pieces.glaze(once_store, asked_by(MIRA), ref, "Still Water", Zone.OUTSIDE)

    with pytest.raises(NeedsInstructor):
        pieces.queue(once_store, asked_by(TOM), ref, "once-fire")
    (raw,) = tags_of(once_store.read, [ref], TOM, ANYONE)
    asked = questions.ask(once_store, asked_by(MIRA), ref, "May it fire once?", route="once-fire").extra["question"]
    questions.answer(once_store, asked_by(ADA), int(asked), "Yes, dry it well.", allows=True)
    code = pieces.queue(once_store, asked_by(TOM), ref, "once-fire").ref
    put_through(once_store, "Once box", "once-fire", "6", code)

    piece = the_piece(once_store, code)
    assert code != ref
    assert (piece.stage, piece.fired_to) == (Stage.FIRED, KNOWN_ROUTES["once-fire"].cone)
    (tag,) = tags_of(once_store.read, [code], TOM, ANYONE)
    assert (raw.no_code, raw.once) == ("code issued when queued", "")
    assert (tag.no_code, tag.once) == ("", "once fired to cone 6")
    assert [line.step for line in once_store.read.pieces.page(piece.id).history] == [
        StepName.REGISTER,
        StepName.DECORATE,
        StepName.QUEUE,
        StepName.FIRE,
    ]


def test_greenware_without_glaze_waits_in_no_queue(once_store: Store) -> None:
    for route in ("once-fire", "mid-range"):
        with pytest.raises(NotAStep):
            pieces.queue(once_store, asked_by(TOM), greenware(once_store), route)


def test_raw_glazed_greenware_is_shown_no_way_but_to_fire_once(once_store: Store) -> None:
    ref = greenware(once_store)
    known = once_store.read.catalog()
    before = pieces.prospects(known, the_piece(once_store, ref))
    pieces.glaze(once_store, asked_by(MIRA), ref, "Still Water", Zone.OUTSIDE)

    piece = the_piece(once_store, ref)
    after = pieces.prospects(known, piece)

    assert "once-fire" not in {route.name for route, _ in before}
    assert {route.name for route, _ in after} == {"once-fire"}
    by_name = {one.name: one for one in candidates_for(piece, known)}
    assert [str(leaf["firing"]) for leaf in by_name["Still Water"].leaves] == ["Once-fire"]


def test_the_true_clay_is_saved_over_slip_though_no_firing_is_left(slip_store: Store) -> None:
    slip = pieces.register(slip_store, asked_by(MIRA), a_new_piece()).ref
    pieces.glaze(slip_store, asked_by(MIRA), slip, "Chalk", Zone.OUTSIDE)

    receipt = editing.set_right(slip_store, asked_by(MIRA), slip, Told(), clay=NEVER_FIRED.name)

    assert the_piece(slip_store, slip).clay == NEVER_FIRED
    assert tells([receipt.message], NO_ROUTE_LEFT)
