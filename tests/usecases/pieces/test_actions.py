"""What a piece's page offers first, to whom, and which stages it has gone through."""

from __future__ import annotations

import pytest

from tests.domain.pieces.test_pieces import a_piece
from tests.staffed import ADA, MIRA, TOM
from tests.studio import a_studio
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.people import Person
from tracker.usecases.pieces.actions import MainAction, earlier_stages, first_open, main_action, steps_for
from tracker.usecases.pieces.ways import ways_for

KNOWN = a_studio().catalog


@pytest.mark.parametrize(
    ("stage", "by", "times_printed", "first"),
    [
        (Stage.GREENWARE, MIRA, 0, MainAction.PRINT_TAG),
        (Stage.GREENWARE, MIRA, 1, None),
        (Stage.BISQUED, MIRA, 0, MainAction.GLAZE),
        (Stage.WAXED, TOM, 1, MainAction.GLAZE),
        (Stage.GLAZED, MIRA, 1, None),
        (Stage.FIRED, TOM, 1, MainAction.HAND_OVER),
        (Stage.FIRED, MIRA, 1, None),
        (Stage.CLAIMED, ADA, 1, None),
    ],
)
def test_one_thing_comes_first(stage: Stage, by: Person, times_printed: int, first: MainAction | None) -> None:
    piece = a_piece(stage)

    can = steps_for(piece, by, in_kiln=False)

    assert main_action(piece, can, times_printed=times_printed) is first


@pytest.mark.parametrize("stage", Stage, ids=str)
@pytest.mark.parametrize("by", [MIRA, TOM, ADA], ids=lambda by: str(by.role))
def test_what_is_offered_is_a_step_from_here_that_this_person_may_take(stage: Stage, by: Person) -> None:
    for step in steps_for(a_piece(stage), by, in_kiln=False):
        assert by.may(a_piece(stage).must_start(step).right)


def test_in_a_kiln_a_piece_is_left_alone() -> None:
    assert steps_for(a_piece(Stage.QUEUED), ADA, in_kiln=True) == frozenset()


def test_glazed_ware_is_queued_for_the_first_open_way_by_those_who_may() -> None:
    piece = a_piece(Stage.GLAZED)
    ways = ways_for(piece, KNOWN)
    queue = frozenset({StepName.QUEUE})

    assert first_open(ways, piece, queue) == next(way.route for way in ways if way.is_open)
    assert first_open(ways, piece, frozenset()) == ""
    assert first_open((), piece, queue) == ""
    assert first_open(ways, a_piece(Stage.BISQUED), queue) == ""


def test_a_correction_leads_to_every_earlier_stage_but_the_queue() -> None:
    assert earlier_stages(a_piece(Stage.FIRED)) == (Stage.GREENWARE, Stage.BISQUED, Stage.WAXED, Stage.GLAZED)
    assert earlier_stages(a_piece(Stage.LOST)) == ()
