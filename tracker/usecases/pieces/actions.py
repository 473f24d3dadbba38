"""What a person may do with a piece from its page, and which of it comes first."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from tracker.domain.pieces.piece import LINE, STEPS, Stage, StepName
from tracker.domain.studio.people import Right

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.people import Person
    from tracker.usecases.pieces.ways import Way

CAN_BE_GLAZED = STEPS[StepName.GLAZE].start | STEPS[StepName.DECORATE].start
CAN_BE_FIRED = CAN_BE_GLAZED | {Stage.QUEUED}

_ON_ITS_PAGE: Mapping[StepName, tuple[Right, frozenset[Stage]]] = {
    StepName.DECORATE: (Right.WORK_ON, STEPS[StepName.DECORATE].start),
    StepName.GLAZE: (Right.WORK_ON, STEPS[StepName.GLAZE].start),
    StepName.WAX: (Right.WORK_ON, frozenset({Stage.BISQUED})),
    StepName.WASH_OFF: (Right.WORK_ON, STEPS[StepName.WASH_OFF].start),
    StepName.NOT_WAXED: (Right.WORK_ON, STEPS[StepName.NOT_WAXED].start),
    StepName.SET_RIGHT: (Right.WORK_ON, STEPS[StepName.SET_RIGHT].start),
    StepName.QUEUE: (Right.MOVE, CAN_BE_GLAZED),
    StepName.PULL_BACK: (Right.MOVE, frozenset({Stage.QUEUED})),
    StepName.CLAIM: (Right.HAND_OVER, frozenset({Stage.FIRED})),
    StepName.LOSE: (Right.MOVE, CAN_BE_FIRED | {Stage.FIRED}),
    StepName.FIND: (Right.MOVE, frozenset({Stage.LOST})),
    StepName.FIRE_AGAIN: (Right.CORRECT, frozenset({Stage.FIRED})),
    StepName.NOTE_FLAWS: (Right.WORK_ON, STEPS[StepName.NOTE_FLAWS].start),
    StepName.CORRECT: (Right.CORRECT, frozenset(LINE[1:])),
}
"""Whose step each is and where it is offered; in a kiln a piece is left alone."""


class MainAction(StrEnum):
    """The one thing that a piece's page offers first."""

    HAND_OVER = "hand over"
    GLAZE = "glaze"
    PRINT_TAG = "print tag"


def steps_for(piece: Piece, by: Person, *, in_kiln: bool) -> frozenset[StepName]:
    """The steps that this person may take with this piece from its page."""
    if in_kiln:
        return frozenset()
    steps = {name for name, (right, stages) in _ON_ITS_PAGE.items() if by.may(right) and piece.stage in stages}
    return frozenset(steps - piece.out_of_reach)


def main_action(piece: Piece, can: frozenset[StepName], *, times_printed: int) -> MainAction | None:
    """What comes first of all that may be done: to hand it over, to glaze bare ware, to print the tag it lacks."""
    if StepName.CLAIM in can:
        return MainAction.HAND_OVER
    if StepName.GLAZE in can and piece.stage in {Stage.BISQUED, Stage.WAXED}:
        return MainAction.GLAZE
    return MainAction.PRINT_TAG if piece.code is None and not times_printed else None


def first_open(ways: Sequence[Way], piece: Piece, can: frozenset[StepName]) -> str:
    """The name of the way that glazed ware is queued for first; empty where there is none."""
    if StepName.QUEUE not in can or not piece.layers:
        return ""
    return next((way.route for way in ways if way.is_open), "")


def earlier_stages(piece: Piece) -> tuple[Stage, ...]:
    """The stages to which a correction may lead."""
    if piece.stage not in LINE:
        return ()
    return tuple(stage for stage in LINE[: LINE.index(piece.stage)] if stage is not Stage.QUEUED)
