"""Several pieces alike in one go, each with its lid where there is one, and what is remembered of the last one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.new_pieces import MOST_AT_ONCE
from tracker.domain.refusals import Unusable
from tracker.usecases.pieces.pieces import enter
from tracker.usecases.pieces.sets import free_set_name

if TYPE_CHECKING:
    from tracker.domain.pieces.history import Request
    from tracker.domain.pieces.new_pieces import Batch, NewPiece
    from tracker.store.unit_of_work import Change, Store


def register_all(store: Store, request: Request, batch: Batch) -> Receipt:
    """Enter each piece of a batch and its lid, all of them or none; the receipt names them in their order."""
    return store.once(request, "register all", lambda change: _register_all(change, batch), about=batch)


def _register_all(change: Change, batch: Batch) -> Receipt:
    if not 1 <= batch.count <= MOST_AT_ONCE:
        words = _("At most {most} pieces can be registered at once.")
        raise Unusable(
            [Message("too-many-to-register", words, most=MOST_AT_ONCE)],
            Message("register-fewer", _("Register fewer, then the rest.")),
        )
    done = [receipt for pot, lid in batch.pots for receipt in _with_lid(change, pot, lid)]
    if len(done) == 1:
        return done[0]
    refs = tuple(one.ref for one in done)
    counted = Plural("count", "{count} piece is registered.", "{count} pieces are registered.")
    message = Message("registered-all", counted, count=len(refs))
    return Receipt(message=message, ref=refs[0], piece_id=done[0].piece_id, refs=refs)


def _with_lid(change: Change, pot: NewPiece, lid: NewPiece | None) -> tuple[Receipt, ...]:
    """A piece, and its lid tied to it: to its set where it is to have one, else to one named after it."""
    if lid is None:
        return (enter(change, pot),)
    theirs = pot.set_name
    if not theirs and not pot.belongs_with:
        theirs = free_set_name(change, pot.maker_id or change.request.by.id, pot.what)
    body = enter(change, replace(pot, set_name=theirs))
    return body, enter(change, replace(lid, set_name="", belongs_with=body.ref))
