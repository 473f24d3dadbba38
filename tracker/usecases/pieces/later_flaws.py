"""Flaws and notes of a fired piece that come later: crazing often shows only days after unloading."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from tracker.domain.message import Choice, Message, _
from tracker.domain.pieces.history import HistoryLine, Receipt
from tracker.domain.pieces.outcomes import CRACKS, Flaw, Outcome, in_order
from tracker.domain.pieces.piece import Piece, StepName
from tracker.domain.refusals import NotAllowed, Unusable
from tracker.domain.studio.people import Right
from tracker.store.unit_of_work import Change
from tracker.usecases.once import once
from tracker.usecases.pieces.flaws_on_record import flaws_of
from tracker.usecases.pieces.lookup import held_piece


@once("note flaws")
def note_flaws(
    change: Change,
    ref: str,
    flaws: Collection[Flaw],
    *,
    outside_only: bool = False,
    clay_note: str = "",
    glaze_note: str = "",
    seen: int | None = None,
) -> Receipt:
    """Record which flaws a fired piece has now, and notes on its clay and its glaze; its food standing follows.

    `outside_only` says that the new ones show only outside or on the foot. Without it, those that were recorded so
    before count too, unless others show where food comes: then it is said of the new ones alone. Whoever made the piece
    may add flaws; only staff take one off the record.
    """
    found = Outcome(tuple(flaws), outside_only=outside_only, clay_note=clay_note, glaze_note=glaze_note)
    has = frozenset(flaws)
    by = change.request.by
    piece = held_piece(change, StepName.NOTE_FLAWS, ref, seen)
    after = piece.take(StepName.NOTE_FLAWS)
    told = flaws_of(change.read.pieces.page(piece.id).history, piece)
    stay_outside = told.outside if found.outside_only or not told.is_outside else frozenset()
    more, fewer = in_order(has - told.counting - stay_outside), in_order(told.all - has)
    if fewer and not by.may(Right.MOVE):
        raise NotAllowed(
            Message("flaws-stay", _("You can't take a flaw off the record.")),
            Message("staff-looks-at-it", _("Show the piece to staff.")),
        )
    if not (more or fewer or found.notes):
        raise Unusable(
            [Message("flaws-as-before", _("These flaws are on record."))],
            Message("tick-a-flaw", _("Tick the flaw that you found, or write a note.")),
        )
    kept = tuple(one for one in piece.flaws if one in has)
    count = replace(found, flaws=more).left_on(kept) if more else kept
    after = replace(after, flaws=count, mended=piece.mended or not CRACKS.isdisjoint(more))
    line = HistoryLine(
        step=StepName.NOTE_FLAWS,
        facts={
            "more": more,
            "fewer": fewer,
            "outside_only": outside_only,
            "clay_note": clay_note,
            "glaze_note": glaze_note,
        },
    )
    number = change.save(piece, after, line)
    return Receipt(message=_says(piece, after), ref=after.ref, piece_id=after.id, line=number)


def _says(before: Piece, after: Piece) -> Message:
    words = {
        "food": _("{piece}: on record. It counts as decorative now."),
        "other": _("{piece}: on record."),
    }
    means = "food" if before.holds_food and not after.holds_food else "other"
    return Message("flaws-noted", Choice("means", words), means=means, piece=after.ref)
