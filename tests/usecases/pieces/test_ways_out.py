"""What is said of a piece that a queue or a kiln's door refused: what would open the way, and where it belongs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.reading import said
from tests.studio import a_studio
from tracker.domain.cones import Cone
from tracker.domain.findings import Unsettled
from tracker.domain.firing.firings import Firing, FiringStage
from tracker.domain.pieces.piece import Foot, Piece, Stage, Use
from tracker.domain.refusals import Refusal
from tracker.domain.rules.engine import judge, judge_in
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.kilns import Room as Chamber
from tracker.domain.studio.materials import Layer, Zone
from tracker.usecases.pieces.ways_out import away_from_a_kiln, open_queues, out_of_a_refused_queue

KNOWN = a_studio().catalog
SMALL = Chamber(round_mm=100, height_mm=100)


def a_pot(*glazes: str, **facts: object) -> Piece:
    """A decorative cup of Doorstep Buff that waits for the mid-range kiln in these glazes, but for the facts given."""
    worn = tuple(Layer(KNOWN.glaze(name), Zone.OUTSIDE) for name in glazes)
    plain: dict[str, object] = {"clay": KNOWN.clay("Doorstep Buff"), "use": Use.DECORATIVE, "route": "mid-range"}
    sizes = {"height_mm": 120, "width_mm": 80, "depth_mm": 80}
    told = {**plain, **sizes, "foot": Foot.WAXED, **facts}
    return Piece(id=7, what="cup", maker_id=3, stage=Stage.QUEUED, code="K7R43", layers=worn, **told)  # type: ignore[arg-type]  # the facts are named by the case


def refused(piece: Piece, route: str, known: Catalog = KNOWN) -> Refusal:
    """How the rules refuse this piece the queue of a route."""
    with pytest.raises(Unsettled) as refusal:
        judge_in(known, piece, known.route(route)).must_be_settled(route)
    return refusal.value


def stopped(piece: Piece, kiln: str, cone: str, known: Catalog = KNOWN) -> str:
    """What is said to do with a piece at the door of a mid-range firing in this kiln to this cone."""
    there, way = known.kiln(kiln), known.route("mid-range")
    firing = Firing(id=4, kiln=there, route=way, target=Cone.parse(cone), stage=FiringStage.LOADING)
    with pytest.raises(Unsettled) as refusal:
        judge(piece, firing.way, known.practice, firing.kiln).must_be_settled("mid-range")
    return said(away_from_a_kiln(piece, firing, refusal.value, known))


def test_a_queue_that_asks_also_says_what_would_make_it_clear() -> None:
    piece = a_pot("Attic Window", use=Use.FOOD)

    says = said(out_of_a_refused_queue(piece, "mid-range", refused(piece, "mid-range"), KNOWN))

    assert says.startswith("Choose a glaze without crackle, make the piece decorative, or ask the instructor.")
    assert says.endswith("With Still Water instead of Attic Window, it can go in Mid-range, cone 6, 1,222 °C.")


def test_a_queue_that_warns_also_says_what_would_make_it_clear() -> None:
    piece = a_pot("Wet Slate", use=Use.FOOD)

    says = said(out_of_a_refused_queue(piece, "mid-range", refused(piece, "mid-range"), KNOWN))

    assert "accept the risk" in says
    assert "With Still Water instead of Wet Slate" in says


@pytest.mark.parametrize(
    ("burnished", "says"),
    [
        (False, "Put it on a ware shelf. Its maker glazes it."),
        (True, "Put it on the Outdoor, horsehair shelf."),
    ],
)
def test_bare_bisque_that_a_queue_refuses_goes_to_its_maker_and_burnished_ware_to_horsehair(
    burnished: bool,  # noqa: FBT001 -- a case of the table
    says: str,
) -> None:
    waiting = a_pot(clay=KNOWN.clay("Roof Tile Red"), burnished=burnished)
    piece = replace(waiting, stage=Stage.BISQUED, route=None)

    assert said(out_of_a_refused_queue(piece, "mid-range", refused(piece, "mid-range"), KNOWN)) == says
    assert bool(open_queues(piece, KNOWN)) is burnished


def test_a_piece_too_hot_a_firing_would_ruin_is_kept_for_its_own_cone() -> None:
    assert stopped(a_pot("Still Water"), "Back box", "9").endswith("Keep it for a firing to cone 6, 1,222 °C.")


def test_a_piece_that_does_not_fit_is_kept_for_the_kiln_in_which_it_does() -> None:
    back = KNOWN.kiln("Back box")
    large = replace(back, name="Tall box")
    known = replace(KNOWN, kilns={"Back box": replace(back, chamber=SMALL), "Tall box": large})

    says = stopped(a_pot("Still Water", height_mm=300), "Back box", "6", known)

    assert says == "Fire it in a larger kiln. Keep it for Tall box, cone 6, 1,222 °C."
