"""Pieces of a maker whom the instructor begins or stops to supervise: what waits or is loaded is judged again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from tracker.domain.message import Message, _, together
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.changed_piece import held_where_unfit
from tracker.usecases.pieces.moved import Moved
from tracker.usecases.pieces.revalidate import (
    LEFT_FOR_A_LOOK,
    OUT_FOR_A_LOOK,
    Standing,
    fit_again,
    fit_to_queue,
    moves_of,
    stays_of,
    to_queue_of,
)


def held_to_approve(change: Change, makers: Mapping[int, bool]) -> tuple[Moved, ...]:
    """Take out of its queue and its load each piece that doesn't fit there once its maker is supervised, or no longer.

    `makers` says which of them are to be, by number. Must come before the makers are saved; `told_of_supervised` then
    tells what became of all, and puts back what fits.
    """
    held: list[Moved] = []
    for row in Standing.read(change.read).rows if makers else ():
        piece = row.piece
        after = replace(piece, supervised=makers.get(piece.maker_id, piece.supervised))
        if after != piece:
            held += held_where_unfit(change, piece, after, question=_question, edits=0)
    return tuple(held)


def told_of_supervised(change: Change, held: Iterable[Moved]) -> Message | None:
    """What left which queue and kiln, and what stays or could go back, once the makers are saved; None for nothing."""
    told = (moves_of(held), stays_of(fit_again(change)), to_queue_of(fit_to_queue(change)))
    news = [one for one in told if one is not None]
    return together(news) if news else None


def _question(moved: Moved) -> Message:
    """Why a piece was held, for all who read it: whom the instructor supervises is nobody else's business."""
    if moved.queue:
        words = _("The instructor looks at it first, and the piece left the {firing} queue: {why}")
        return Message(LEFT_FOR_A_LOOK, words, firing=moved.queue, why=moved.why)
    words = _("The instructor looks at it first, and the piece must come out of {kiln}: {why}")
    return Message(OUT_FOR_A_LOOK, words, kiln=moved.kiln, why=moved.why)
