"""What is said of a firing that is closed: what would open it, or that nothing can."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.pieces.test_pieces import a_piece
from tests.studio import a_glaze, a_studio
from tracker.domain.cones import Cone
from tracker.domain.pieces.new_pieces import NewPiece
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Build, Stage, StepName, Use
from tracker.domain.rules.refire import MELTS_NOTHING
from tracker.domain.studio.materials import Layer, Zone
from tracker.usecases.pieces.actions import first_open
from tracker.usecases.pieces.ways import ways_for

KNOWN = a_studio().catalog
PLANNED = NewPiece(
    what="cup",
    clay="Gravel Walk",
    build=Build.THROWN,
    use=Use.DECORATIVE,
    height_mm=120,
    width_mm=90,
    depth_mm=90,
    weight_g=400,
    wall_mm=8,
    vented=True,
)


@pytest.mark.parametrize(
    ("clay", "glaze", "is_shut"),
    [
        pytest.param("Roof Tile Red", "Plum Gloss", True, id="earthenware slumps there, whatever is on it"),
        pytest.param("Gravel Walk", "Plum Gloss", False, id="a stoneware could have another glaze"),
    ],
)
def test_a_firing_that_nothing_can_open_is_told_from_one_that_a_change_opens(
    clay: str, glaze: str, *, is_shut: bool
) -> None:
    piece = a_piece(Stage.GLAZED, clay=KNOWN.clay(clay), layers=(Layer(KNOWN.glaze(glaze), Zone.OUTSIDE),))

    (high,) = [way for way in ways_for(piece, KNOWN) if way.route == "high-fire"]

    assert high.verdict == "refuse"
    assert high.is_shut is is_shut
    assert bool(high.would_open) is not is_shut


@pytest.mark.parametrize("flaws", [(), (Flaw.STUCK,), (Flaw.RAN,)])
def test_a_refire_with_nothing_new_is_offered_where_its_glaze_melts_and_nowhere_else(flaws: tuple[Flaw, ...]) -> None:
    # Common practice: what doesn't melt again neither sticks nor mends.
    six, glaze = Cone.parse("6"), a_glaze(cone_low="5", cone_high="6")
    fired = a_piece(
        Stage.GLAZED,
        clay=KNOWN.clay("Gravel Walk"),
        layers=(Layer(glaze, Zone.OUTSIDE, six),),
        fired_to=six,
        flaws=flaws,
    )

    found = ways_for(fired, KNOWN)
    ways = {way.route: [one.rule for one in way.findings] for way in found}
    cool = [way for way in found if way.route == "low-fire"]
    queue = frozenset({StepName.QUEUE})

    assert ways["low-fire"] == [MELTS_NOTHING]
    assert MELTS_NOTHING not in ways["mid-range"]
    assert first_open(found, fired, queue) == "mid-range"
    assert (first_open(cool, fired, queue), first_open(cool, fired, queue, "low-fire")) == ("", "low-fire")


def test_a_closed_form_that_is_only_planned_goes_nowhere_since_no_bisque_takes_it() -> None:
    first, *others = ways_for(replace(PLANNED, vented=False), KNOWN)

    assert (first.route, first.verdict) == ("bisque", "refuse")
    assert {way.verdict for way in others} == {"refuse"}


@pytest.mark.parametrize(("wall_mm", "verdict"), [(8, "clear"), (32, "warn")])
def test_a_piece_that_is_only_planned_is_told_of_its_bisque_first(wall_mm: int, verdict: str) -> None:
    first, *others = ways_for(replace(PLANNED, wall_mm=wall_mm), KNOWN)

    assert (first.route, first.verdict) == ("bisque", verdict)
    assert "clear" in {way.verdict for way in others}


def test_ware_that_comes_bisqued_is_told_of_no_bisque() -> None:
    assert "bisque" not in {way.route for way in ways_for(replace(PLANNED, arrives_bisqued=True), KNOWN)}


def test_a_firing_too_cool_to_mend_a_flaw_comes_after_the_one_that_mends_it() -> None:
    four, glaze = Cone.parse("4"), a_glaze(cone_low="5", cone_high="6")
    soft = a_piece(
        Stage.GLAZED,
        clay=KNOWN.clay("Gravel Walk"),
        layers=(Layer(glaze, Zone.OUTSIDE, Cone.parse("6")),),
        fired_to=four,
        flaws=(Flaw.UNDERFIRED,),
    )

    clear = [way for way in ways_for(soft, KNOWN) if way.verdict == "clear"]

    assert [bool(way.idle) for way in clear] == sorted(bool(way.idle) for way in clear)
    assert {"mid-range", "low-fire"} <= {way.route for way in clear}
    assert not clear[0].idle
    assert clear[-1].idle
