"""What a piece's page offers first, to whom, and which stages it has gone through."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.pieces.test_pieces import a_piece
from tests.staffed import ADA, MIRA, TOM
from tests.studio import NOON, a_studio
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.forecasts import Basis, Opening
from tracker.domain.firing.outlooks import FiringAhead, Hot, Next, Outlook, Spot, Where
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.studio.people import Person
from tracker.usecases.pieces.actions import MainAction, earlier_stages, first_open, main_action, steps_for
from tracker.usecases.pieces.ways import ways_for

KNOWN = a_studio().catalog


def an_outlook(next_: Next, when: Hot | None = None) -> Outlook:
    """What comes next for a piece, wherever it is."""
    return Outlook(next=next_, spot=Spot(where=Where.UNKNOWN), when=when)


HOT = FiringAhead(id=7, kiln="Back box", route="mid-range", stage=FiringStage.COOLING)
SHUT, COOL = (
    Hot(firing=HOT, opening=Opening(basis=Basis.LOG, below_c=120, at=NOON), is_past=is_past)
    for is_past in (False, True)
)


@pytest.mark.parametrize(
    ("stage", "by", "outlook", "is_tagged", "first"),
    [
        (Stage.GREENWARE, MIRA, an_outlook(Next.DRY), False, MainAction.PRINT_TAG),
        (Stage.GREENWARE, MIRA, an_outlook(Next.DRY), True, None),
        (Stage.GREENWARE, MIRA, an_outlook(Next.ASK), False, MainAction.ASK),
        (Stage.GREENWARE, TOM, an_outlook(Next.ASK), True, None),
        (Stage.BISQUED, MIRA, an_outlook(Next.IDENTIFY), True, MainAction.IDENTIFY),
        (Stage.BISQUED, TOM, an_outlook(Next.IDENTIFY), True, None),
        (Stage.BISQUED, MIRA, an_outlook(Next.MEASURE), True, MainAction.MEASURE),
        (Stage.BISQUED, TOM, an_outlook(Next.MEASURE), True, None),
        (Stage.BISQUED, ADA, an_outlook(Next.MEASURE), True, MainAction.MEASURE),
        (Stage.BISQUED, MIRA, an_outlook(Next.UNFIT), True, MainAction.MAKE_DECORATIVE),
        (Stage.BISQUED, TOM, an_outlook(Next.UNFIT), True, None),
        (Stage.BISQUED, MIRA, an_outlook(Next.WAX), False, MainAction.GLAZE),
        (Stage.WAXED, TOM, an_outlook(Next.GLAZE), True, None),
        (Stage.GLAZED, MIRA, an_outlook(Next.SAY_FIRING), True, MainAction.SAY_FIRING),
        (Stage.GLAZED, MIRA, an_outlook(Next.QUEUE), True, None),
        (Stage.GLAZED, MIRA, replace(an_outlook(Next.QUEUE), place="cart 2"), True, MainAction.PUT_AWAY),
        (Stage.GLAZED, ADA, an_outlook(Next.ANSWER), True, MainAction.ANSWER),
        (Stage.GLAZED, TOM, an_outlook(Next.ANSWER), True, None),
        (Stage.QUEUED, TOM, an_outlook(Next.LOAD), True, MainAction.FIRING),
        (Stage.QUEUED, TOM, an_outlook(Next.COME_OUT), True, MainAction.FIRING),
        (Stage.QUEUED, MIRA, an_outlook(Next.LOAD), True, None),
        (Stage.QUEUED, TOM, an_outlook(Next.COOL, SHUT), True, None),
        (Stage.QUEUED, TOM, an_outlook(Next.COOL, COOL), True, MainAction.FIRING),
        (Stage.FIRED, TOM, an_outlook(Next.PICK_UP), True, MainAction.HAND_OVER),
        (Stage.FIRED, MIRA, an_outlook(Next.PICK_UP), True, None),
        (Stage.FIRED, TOM, an_outlook(Next.BAG), True, MainAction.DISCARD),
        (Stage.FIRED, MIRA, an_outlook(Next.BAG), True, None),
        (Stage.CLAIMED, ADA, an_outlook(Next.DONE), True, None),
        (Stage.LOST, TOM, an_outlook(Next.FIND), True, MainAction.FIND),
    ],
)
def test_one_thing_comes_first(
    stage: Stage, by: Person, outlook: Outlook, *, is_tagged: bool, first: MainAction | None
) -> None:
    piece = replace(a_piece(stage), maker_id=MIRA.id)

    can = steps_for(piece, by, in_kiln=outlook.next in {Next.LOAD, Next.COOL})

    assert main_action(piece, outlook, can, by, is_tagged=is_tagged) is first


def test_glazed_ware_that_may_be_queued_is_queued_first() -> None:
    piece = a_piece(Stage.GLAZED)
    can = steps_for(piece, TOM, in_kiln=False)

    first = main_action(piece, an_outlook(Next.QUEUE), can, TOM, ways=ways_for(piece, KNOWN), is_tagged=True)

    assert first is MainAction.QUEUE


@pytest.mark.parametrize("stage", Stage, ids=str)
@pytest.mark.parametrize("by", [MIRA, TOM, ADA], ids=lambda by: str(by.role))
def test_what_is_offered_is_a_step_from_here_that_this_person_may_take(stage: Stage, by: Person) -> None:
    for step in steps_for(a_piece(stage), by, in_kiln=False):
        assert by.may(a_piece(stage).must_start(step).right)


def test_in_a_kiln_a_piece_is_left_alone_but_for_what_staff_know_of_it() -> None:
    assert steps_for(a_piece(Stage.QUEUED), ADA, in_kiln=True) == {StepName.SET_RIGHT}
    assert steps_for(a_piece(Stage.QUEUED), MIRA, in_kiln=True) == frozenset()


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
