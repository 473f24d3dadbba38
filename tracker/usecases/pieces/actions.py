"""What a person may do with a piece from its page, and which of it comes first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.outlooks import Hot, Next, Outlook
from tracker.domain.pieces.piece import BY_ITS_MAKER, LINE, STEPS, Piece, Stage, StepName
from tracker.domain.studio.kilns import Route, RouteKind
from tracker.domain.studio.people import Person, Right
from tracker.store.firing.queries import FiringRow
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.rules.queries import QuestionRow
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
    StepName.TAKE_BACK: (Right.HAND_OVER, STEPS[StepName.TAKE_BACK].start),
    StepName.LOSE: (Right.WORK_ON, CAN_BE_FIRED | {Stage.FIRED}),
    StepName.FIND: (Right.WORK_ON, frozenset({Stage.LOST})),
    StepName.FIRE_AGAIN: (Right.CORRECT, frozenset({Stage.FIRED})),
    StepName.NOTE_FLAWS: (Right.WORK_ON, STEPS[StepName.NOTE_FLAWS].start),
    StepName.CORRECT: (Right.CORRECT, frozenset(LINE[1:])),
}
"""Whose step each is and where it is offered; in a kiln a piece is left alone, but for what staff know of it."""


class MainAction(StrEnum):
    """The one thing that a piece's page offers first."""

    ANSWER = "answer"
    LOAD = "load"
    FIRING = "firing"
    DISCARD = "discard"
    HAND_OVER = "hand over"
    QUEUE = "queue"
    FIND = "find"
    IDENTIFY = "identify"
    MEASURE = "measure"
    MAKE_DECORATIVE = "make decorative"
    ASK = "ask"
    TELL = "tell"
    VENT = "vent"
    SAY_FIRING = "say firing"
    PUT_AWAY = "put away"
    GLAZE = "glaze"
    PRINT_TAG = "print tag"


def steps_for(piece: Piece, by: Person, *, in_kiln: bool) -> frozenset[StepName]:
    """The steps that this person may take with this piece from its page."""
    if in_kiln:
        return frozenset({StepName.SET_RIGHT} if by.may(Right.EDIT) else ())
    steps = {name for name, (right, stages) in _ON_ITS_PAGE.items() if by.may(right) and piece.stage in stages}
    if piece.stage not in BY_ITS_MAKER and not by.may(Right.EDIT):
        steps.discard(StepName.SET_RIGHT)
    return frozenset(steps - piece.out_of_reach)


def main_action(
    piece: Piece,
    outlook: Outlook,
    can: frozenset[StepName],
    by: Person,
    *,
    ways: Sequence[Way] = (),
    is_tagged: bool,
    is_loaded_now: bool = False,
) -> MainAction | None:
    """What comes first for this person of all that may be done: the first of these that holds; None where none does.

    `is_loaded_now` says that the firing which it waits for is being loaded.
    """
    is_mine = piece.maker_id == by.id
    is_staffs = StepName.LOSE in can and by.may(Right.HAND_OVER)
    is_next_glazed = StepName.GLAZE in can and outlook.next in {Next.WAX, Next.GLAZE}
    first = (
        (outlook.next in {Next.ANSWER, Next.ANSWER_IN_KILN} and by.may(Right.DECIDE), MainAction.ANSWER),
        (_is_at_the_kiln(outlook) and by.may(Right.FIRE), MainAction.FIRING),
        (is_loaded_now and by.may(Right.FIRE) and (is_tagged or piece.code is not None), MainAction.LOAD),
        (is_staffs and outlook.next is Next.BAG, MainAction.DISCARD),
        (StepName.CLAIM in can and outlook.next not in {Next.BAG, Next.SOFT}, MainAction.HAND_OVER),
        (first_open(ways, piece, can) != "", MainAction.QUEUE),
        (StepName.FIND in can and outlook.next is Next.FIND, MainAction.FIND),
        (outlook.next is Next.IDENTIFY and is_mine, MainAction.IDENTIFY),
        (outlook.next is Next.MEASURE and (is_mine or by.may(Right.CATALOG)), MainAction.MEASURE),
        (outlook.next is Next.UNFIT and is_mine and StepName.SET_RIGHT in can, MainAction.MAKE_DECORATIVE),
        (outlook.next is Next.ASK and is_mine, MainAction.ASK),
        (outlook.next is Next.TELL and is_mine, MainAction.TELL),
        (outlook.next is Next.VENT and is_mine, MainAction.VENT),
        (outlook.next in {Next.SAY_FIRING, Next.OTHER_FIRING} and is_mine, MainAction.SAY_FIRING),
        (outlook.next is Next.QUEUE and is_mine and outlook.place != "", MainAction.PUT_AWAY),
        (is_next_glazed and is_mine, MainAction.GLAZE),
        (outlook.next is Next.DRY and not is_tagged, MainAction.PRINT_TAG),
    )
    return next((what for holds, what in first if holds), None)


def loaded_now(read: Queries, row: PieceRow) -> FiringRow | None:
    """The firing that a piece waits for, while its kiln is being loaded and nothing keeps the piece out of it."""
    piece = row.piece
    waits = piece.stage is Stage.QUEUED or (piece.stage is Stage.GREENWARE and not piece.has_glaze)
    if not waits or row.question_open or (row.firing_id, row.leaving_id) != (None, None):
        return None
    catalog = read.catalog()
    loading = (one for one in read.firings.listed(rounds=False) if one.stage is FiringStage.LOADING)
    return next((one for one in loading if _waits_for(piece, catalog.routes.get(one.route))), None)


def _waits_for(piece: Piece, route: Route | None) -> bool:
    if route is None:
        return False
    return piece.route == route.name if piece.stage is Stage.QUEUED else route.kind is RouteKind.BISQUE


def may_shelve_first(row: PieceRow, by: Person) -> bool:
    """Whether putting a piece on a shelf is among the likeliest things to do: it rests there before anything else.

    What sheds slivers is bagged where it is.
    """
    if row.piece.is_to_bag:
        return False
    rests = row.piece.stage in {Stage.WAXED, Stage.QUEUED, Stage.FIRED} or row.question_open
    return rests and row.piece.stage in LINE and row.firing_id is None and by.may(Right.MOVE)


def _is_at_the_kiln(outlook: Outlook) -> bool:
    """Whether it is to come out of a kiln, is in one that is being loaded, or in one that may be cool by now."""
    return outlook.next in {Next.COME_OUT, Next.LOAD, Next.ANSWER_IN_KILN} or (
        isinstance(outlook.when, Hot) and outlook.when.is_past
    )


def first_open(ways: Sequence[Way], piece: Piece, can: frozenset[StepName], wish: str = "") -> str:
    """The name of the way that glazed ware is queued for first; empty where none is open.

    What its maker asked for comes before others. A firing that melts nothing on it, or stays too cool to mend its flaw,
    is named only where something raw is on it or its maker asked for it.
    """
    if StepName.QUEUE not in can or not piece.layers:
        return ""
    idle = {way.route for way in ways if way.idle}
    has_raw = any(one.fired_to is None and not one.glaze.burns_away for one in piece.layers)
    useful = [way for way in ways if way.is_open and (has_raw or way.route == wish or way.route not in idle)]
    first = sorted(useful, key=lambda way: (way.route != wish, way.route in idle))
    return next((way.route for way in first), "")


def earlier_stages(piece: Piece) -> tuple[Stage, ...]:
    """The stages to which a correction may lead."""
    if piece.stage not in LINE:
        return ()
    return tuple(stage for stage in LINE[: LINE.index(piece.stage)] if stage is not Stage.QUEUED)


def first_to_ask(ways: Sequence[Way], questions: Sequence[QuestionRow]) -> str:
    """The name of the way to ask the instructor about first: one that nobody asked about; empty where there is none."""
    asked = {one.route for one in questions}
    return next((way.route for way in ways if way.verdict == "ask" and way.route not in asked), "")
