"""Handing a piece to its maker, or to the stand-in the maker has named; and taking a hand-out back."""

from __future__ import annotations

from tracker.domain.message import Fact, Message, Template, _, together
from tracker.domain.pieces.codes import read, read_slip
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.piece import Piece, StepName
from tracker.domain.refusals import Unusable
from tracker.domain.rules.food_standing import FoodWord, food_of
from tracker.domain.studio.catalog import Catalog
from tracker.domain.studio.people import Right
from tracker.store.pieces.queries import HistoryRow
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.found_again import back_since
from tracker.usecases.pieces.lookup import find_piece, find_row, held_piece, named
from tracker.usecases.pieces.sets import not_handed_out, still_here


@once("claim")
def hand_over(change: Change, ref: str, *, to: str = "", knows: bool = False, seen: int | None = None) -> Receipt:
    """Note that a piece went to its maker; `to` names the stand-in who came instead.

    What shivered goes only where the instructor hands it out and `knows` that it cuts.
    """
    to = to.strip()
    by = change.request.by
    by.must_be_allowed(Right.HAND_OVER)
    piece = find_piece(change.read, ref, by, hold=True)
    row = find_row(change.read, piece.ref, by)
    piece.must_be_as_seen(seen)
    _must_be_a_name(change, to)
    if not (knows and by.may(Right.DECIDE)):
        piece.must_not_shed()
    after = piece.take(StepName.CLAIM)
    facts: dict[str, Fact] = {"taker": to or row.maker_name, "maker": row.maker_name if to else None}
    line = HistoryLine(step=StepName.CLAIM, facts=facts)
    number = change.save(piece, after, line)
    done = Message("taken", _TAKEN[bool(to)], piece=named(piece), **facts)
    mates = still_here(change.read, piece)
    message = together([done, _of_food(piece, change.catalog), not_handed_out(mates) if mates else None])
    return Receipt(message=message, ref=piece.ref, piece_id=piece.id, line=number)


def _of_food(piece: Piece, catalog: Catalog) -> Message | None:
    """What whoever takes a piece is told of food; None where nothing is known against it."""
    if not piece.holds_food:
        return Message("taken-decorative", _("Decorative: not for food or drink."))
    if food_of(piece, catalog).word is FoodWord.NOT_FOR_FOOD:
        return Message("taken-not-for-food", _("Not for food or drink."))
    return None


def _must_be_a_name(change: Change, to: str) -> None:
    """Refuse a code or a ticket as the name of a stand-in: the next piece was scanned, and this one isn't handed out.

    A word that only happens to read as a code, as some first names do, is a name while no piece goes by it.
    """
    code = read(to).code
    is_code = code is not None and (any(map(str.isdecimal, code)) or change.read.pieces.piece(code=code) is not None)
    if is_code or to.isdecimal() or read_slip(to) is not None:
        raise Unusable(
            [Message("code-for-a-name", _("“{text}” is a code, not a name."), text=to)],
            Message("type-the-name", _("Type the name of the person who picks the piece up.")),
        )


@once("take back")
def take_back(change: Change, ref: str, *, seen: int | None = None) -> Receipt:
    """Note that a piece wasn't handed out after all, or came back: it is where it was before, ready for its maker."""
    piece = held_piece(change, StepName.TAKE_BACK, ref, seen)
    piece.must_start(StepName.TAKE_BACK)
    history = change.read.pieces.page(piece.id).history
    claimed = next(line for line in reversed(history) if line.step is StepName.CLAIM)
    done = take_back_within(change, piece, claimed, undoes=claimed.id)
    back_since(change, piece.id, claimed.id)
    return done


def take_back_within(change: Change, piece: Piece, claimed: HistoryRow, *, undoes: int) -> Receipt:
    """The same as part of a change; `claimed` is the line with which it was handed out."""
    after = piece.take(StepName.TAKE_BACK, to=claimed.start)
    line = HistoryLine(step=StepName.TAKE_BACK, undoes=undoes)
    number = change.save(piece, after, line)
    words = _("{piece}: hand-out undone. It's back to {stage}.")
    message = Message("hand-out-undone", words, piece=named(after), stage=after.stage)
    return Receipt(message=message, ref=after.ref, piece_id=after.id, line=number, refs=(after.ref,))


_TAKEN: tuple[Template, Template] = (
    _("{piece}: picked up by {taker}."),
    _("{piece}: picked up by {taker}, for {maker}."),
)
