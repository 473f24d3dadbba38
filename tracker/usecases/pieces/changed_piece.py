"""A piece that becomes another while it waits or is in a kiln being loaded: judged again, it stays where it is fit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tracker.domain.findings import Level
from tracker.domain.firing.firings import FiringStage
from tracker.domain.message import Message, _
from tracker.domain.refusals import Unusable
from tracker.usecases.pieces.revalidate import LEFT_BY_DETAILS, OUT_BY_DETAILS, Moved, found_open, send_out

if TYPE_CHECKING:
    from tracker.domain.firing.firings import Firing
    from tracker.domain.pieces.piece import Piece
    from tracker.store.pieces.queries import PieceRow
    from tracker.store.unit_of_work import Change


def held_where_unfit(change: Change, piece: Piece, after: Piece) -> tuple[Moved, ...]:
    """Take a piece out of its queue and its load before it becomes `after`, where that is unfit there.

    It gets a question for the instructor, and must be confirmed to be out of a kiln that it is in. Must come before
    `after` is saved, since the heat guard lets no ceiling fall under what waits for more; what is saved then goes on
    from the piece as it is afterwards. Refused while its kiln is shut and the rules refuse it there.
    """
    row = change.read.pieces.row(number=piece.id)
    if row is None or (piece.route is None and row.firing_id is None):
        return ()
    firing = change.read.firings.firing(row.firing_id) if row.firing_id is not None else None
    moved = _unfit(change, row, after, firing)
    if moved is None:
        return ()
    if firing is not None and firing.stage is not FiringStage.LOADING:
        words = _("{piece} is in the closed kiln of firing {firing} and could no longer be fired there.")
        message = Message("unfit-behind-a-door", words, piece=row.ref, firing=str(firing.id))
        raise Unusable([message, moved.why], Message("unload-it-then-change", _("Unload that firing first.")))
    about = None if moved.is_refused else piece.route
    question = change.questions.ask(piece.id, about, _question(moved), moved.findings)
    send_out(change, moved, question, edits=1)
    return (moved,)


def _unfit(change: Change, row: PieceRow, after: Piece, firing: Firing | None) -> Moved | None:
    """What stands newly against the piece as it will be, where it is; behind a shut door only what nobody may allow."""
    leaves, at = change.read.questions.leaves, change.request.at
    settled = {one.message for one in found_open(change.catalog, row, firing, leaves, at)}
    is_shut = firing is not None and firing.stage is not FiringStage.LOADING
    new = [
        one
        for one in found_open(change.catalog, replace(row, piece=after), firing, leaves, at)
        if one.level is Level.REFUSE or (not is_shut and one.message not in settled)
    ]
    if not new:
        return None
    queue = change.catalog.route(row.piece.route).title if row.piece.route else ""
    kiln = firing.kiln.name if firing is not None else ""
    return Moved(row, tuple(sorted(new, key=lambda one: -one.level)), queue, kiln)


def _question(moved: Moved) -> Message:
    if moved.queue:
        words = _("Its record was corrected, and the piece left the {firing} queue: {why}")
        return Message(LEFT_BY_DETAILS, words, firing=moved.queue, why=moved.why)
    words = _("Its record was corrected, and the piece must come out of {kiln}: {why}")
    return Message(OUT_BY_DETAILS, words, kiln=moved.kiln, why=moved.why)
