"""A registration that was a mistake: canceled, or given to the maker whose piece it is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.message import Message, _
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.losses import Loss
from tracker.domain.pieces.piece import Stage, StepName
from tracker.domain.refusals import NotAStep, Unknown, Unusable
from tracker.domain.studio.people import Right
from tracker.usecases.pieces.lookup import held_piece, named
from tracker.usecases.pieces.pieces import plain_step

if TYPE_CHECKING:
    from tracker.domain.pieces.history import Request
    from tracker.domain.pieces.piece import Piece
    from tracker.domain.studio.people import Person
    from tracker.store.queries import Queries
    from tracker.store.unit_of_work import Change, Store

_IN_A_FIRE = frozenset({StepName.BISQUE, StepName.FIRE})


def cancel(store: Store, request: Request, ref: str, *, seen: int | None = None) -> Receipt:
    """Note that a piece was registered by mistake: there is no such piece. What was fired here is there.

    Its maker cancels greenware, staff also what was registered as bisqued. Marking it as found brings it back.
    """
    return store.once(request, "cancel", lambda change: _cancel(change, ref, seen), (ref, seen))


def _cancel(change: Change, ref: str, seen: int | None) -> Receipt:
    piece = held_piece(change, StepName.LOSE, ref, seen)
    if not can_cancel(change.read, piece, change.request.by):
        words = _("{piece} is {stage}: it can't have been registered by mistake.")
        remedy = _("Say what became of it: broken, missing or discarded.")
        message = Message("not-canceled-now", words, piece=piece.ref, stage=piece.stage)
        raise NotAStep(message, Message("say-what-became-of-it", remedy))
    return plain_step(change, StepName.LOSE, piece.ref, None, "", Loss.CANCELED)


def can_cancel(reader: Queries, piece: Piece, by: Person) -> bool:
    """Whether this person may say that a piece was registered by mistake."""
    if piece.stage is Stage.GREENWARE:
        return True
    if piece.stage is not Stage.BISQUED or not by.may(Right.EDIT):
        return False
    return all(line.step not in _IN_A_FIRE for line in reader.pieces.page(piece.id).history)


def give(store: Store, request: Request, ref: str, maker_id: int, *, seen: int | None = None) -> Receipt:
    """Note that a piece is another person's; it leaves the set of the one who was its maker."""
    return store.once(request, "give", lambda change: _give(change, ref, maker_id, seen), (ref, maker_id, seen))


def _give(change: Change, ref: str, maker_id: int, seen: int | None) -> Receipt:
    piece = held_piece(change, StepName.GIVE, ref, seen)
    maker = change.read.people.person(number=maker_id)
    if maker is None:
        raise Unknown(
            Message("nobody-of-that-number", _("No one here has that number.")),
            Message("pick-the-maker", _("Choose the maker from the list.")),
        )
    if maker.id == piece.maker_id:
        words = _("{piece} is {maker}'s piece.")
        raise Unusable(
            [Message("is-the-maker", words, piece=piece.ref, maker=maker.name)],
            Message("choose-another-maker", _("Choose another maker.")),
        )
    after = replace(piece.take(StepName.GIVE), maker_id=maker.id, set_name=None)
    # By number, for whoever has their data removed is no longer called by name.
    facts = {"from_id": piece.maker_id, "to_id": maker.id}
    line = HistoryLine(step=StepName.GIVE, start=piece.stage, to=after.stage, facts=facts)
    number = change.save(piece, after, line)
    message = Message("given", _("{piece}: now {maker}'s piece."), piece=named(after), maker=maker.name)
    return Receipt(message=message, ref=after.ref, piece_id=after.id, line=number, refs=(after.ref,))
