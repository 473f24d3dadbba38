"""What is said of a firing that is closed: what would open it, or that nothing can."""

from __future__ import annotations

import pytest

from tests.domain.pieces.test_pieces import a_piece
from tests.studio import a_glaze, a_studio
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.rules.refire import MELTS_NOTHING
from tracker.domain.studio.materials import Layer, Zone
from tracker.usecases.pieces.actions import first_open
from tracker.usecases.pieces.ways import ways_for

KNOWN = a_studio().catalog


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
