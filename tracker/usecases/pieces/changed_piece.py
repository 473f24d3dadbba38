"""A piece that becomes another while it waits or is in a kiln being loaded: judged again, it stays where it is fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from tracker.domain.firing.firings import Firing
from tracker.domain.message import Message, _
from tracker.domain.pieces.piece import Piece
from tracker.store.pieces.queries import PieceRow
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.in_hot_kilns import catch, needs_less_heat
from tracker.usecases.pieces.moved import Moved
from tracker.usecases.pieces.revalidate import LEFT_BY_DETAILS, OUT_BY_DETAILS, newly_unfit, send_out


def held_where_unfit(
    change: Change, piece: Piece, after: Piece, *, question: Callable[[Moved], Message] | None = None, edits: int = 1
) -> tuple[Moved, ...]:
    """Take a piece out of its queue and its load before it becomes `after`, where that is unfit there.

    It gets a question for the instructor, and must be confirmed to be out of a kiln that it is in. Must come before
    `after` is saved, since the heat guard lets no ceiling fall under what waits for more; what is saved then goes on
    from the piece as it is afterwards. In a hot kiln it stays, kept apart. `question` says why it was held, unless its
    record was corrected; `edits` is how often the piece is saved for that afterwards.
    """
    row = change.read.pieces.row(number=piece.id)
    if row is None or (piece.route is None and row.firing_id is None):
        return ()
    firing = change.read.firings.firing(row.firing_id) if row.firing_id is not None else None
    moved = _unfit(change, row, after, firing)
    if firing is not None and firing.is_hot:
        if moved is not None or needs_less_heat(change.catalog, after, firing):
            catch(change, row, firing, moved.findings if moved else ())
        return () if moved is None else (moved,)
    if moved is None:
        return ()
    about = None if moved.is_refused else piece.route
    asked = change.questions.ask(piece.id, about, (question or _question)(moved), moved.findings)
    send_out(change, moved, asked, edits=edits)
    return (moved,)


def _unfit(change: Change, row: PieceRow, after: Piece, firing: Firing | None) -> Moved | None:
    """What stands newly against the piece as it will be, where it is."""
    was, now = (change.catalog, row), (change.catalog, replace(row, piece=after))
    return newly_unfit(was, now, firing, change.read.questions.leaves, change.request.at)


def _question(moved: Moved) -> Message:
    if moved.queue:
        words = _("Its record was corrected, and the piece left the {firing} queue: {why}")
        return Message(LEFT_BY_DETAILS, words, firing=moved.queue, why=moved.why)
    words = _("Its record was corrected, and the piece must come out of {kiln}: {why}")
    return Message(OUT_BY_DETAILS, words, kiln=moved.kiln, why=moved.why)
