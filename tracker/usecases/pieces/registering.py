"""Several pieces alike in one go, each with its lid where there is one, and their use changed in one go too."""

from __future__ import annotations

from dataclasses import replace

from tracker.domain.message import Message, Plural, _
from tracker.domain.pieces.details import Told
from tracker.domain.pieces.history import Receipt
from tracker.domain.pieces.new_pieces import MOST_AT_ONCE, Batch, NewPiece
from tracker.domain.pieces.piece import StepName, Use
from tracker.domain.refusals import Unusable
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.editing import set_right_within
from tracker.usecases.pieces.lookup import held_piece
from tracker.usecases.pieces.pieces import register
from tracker.usecases.pieces.sets import free_set_name


@once("register all")
def register_all(change: Change, batch: Batch) -> Receipt:
    """Enter each piece of a batch and its lid, all of them or none; the receipt names them in their order."""
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


@once("make decorative")
def make_decorative(change: Change, refs: tuple[str, ...]) -> Receipt:
    """Note of pieces that they are decorative, all of them or none; what is decorative already stays as it is."""
    pots = [held_piece(change, StepName.SET_RIGHT, ref, None) for ref in refs]
    for pot in pots:
        if pot.use is not Use.DECORATIVE:
            set_right_within(change, pot, Told(use=Use.DECORATIVE))
    told = Plural("pieces", "{pieces} is decorative now.", "{count} pieces are decorative now.")
    named = tuple(pot.ref for pot in pots)
    message = Message("all-decorative", told, pieces=named, count=len(named))
    return Receipt(message=message, ref=named[0], piece_id=pots[0].id, refs=named)


def _with_lid(change: Change, pot: NewPiece, lid: NewPiece | None) -> tuple[Receipt, ...]:
    """A piece, and its lid tied to it: to its set where it is to have one, else to one named after it."""
    if lid is None:
        return (register.within(change, pot),)
    theirs = pot.set_name
    if not theirs and not pot.belongs_with:
        theirs = free_set_name(change, pot.maker_id or change.request.by.id, pot.what)
    body = register.within(change, replace(pot, set_name=theirs))
    return body, register.within(change, replace(lid, set_name="", belongs_with=body.ref))
