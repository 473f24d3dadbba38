"""Sets: pieces of one maker that fire together, such as a pot, its lid and its loose parts."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace

from tracker.domain.findings import Verdict
from tracker.domain.message import Fact, Message, Plural, _
from tracker.domain.pieces.codes import slip_text
from tracker.domain.pieces.details import Told, all_changes, changes, set_right
from tracker.domain.pieces.history import HistoryLine
from tracker.domain.pieces.piece import LINE, Piece, Stage, StepName
from tracker.domain.refusals import Unusable
from tracker.store.pieces.queries import PieceRow
from tracker.store.queries import Queries
from tracker.store.unit_of_work import Change
from tracker.usecases.pieces.lookup import find_piece, named

_LONGEST_NAME = 50
"""Letters of a piece's name that go into the name of its set, so that its slip number fits behind them."""


def set_for(change: Change, wanted: Piece, name: str, belongs_with: str) -> tuple[str, Message | None]:
    """The set that `wanted` is to belong to, by its `name`, or by a piece that it `belongs_with`, or by both.

    A piece that belongs to no set yet is tied to this one too, with a line of history; what that changed is told by
    the message, else there is none. Refused are another maker's pieces, and a name that is not that of their set.
    """
    spelled = (change.read.pieces.set_named(wanted.maker_id, name) or name) if name else ""
    if not belongs_with:
        return spelled, None
    mate = find_piece(change.read, belongs_with, change.request.by, hold=True)
    _must_be_another_of_its_maker(wanted, mate)
    if mate.set_name is None:
        theirs = spelled or wanted.set_name or _named_after(change, mate)
        return theirs, _tie(change, mate, theirs)
    # A name that only says where the piece belonged before was left standing in its field.
    if spelled not in {"", mate.set_name, wanted.set_name}:
        words = _("{piece} is in the set “{theirs}”, not in “{wanted}”.")
        raise Unusable(
            [Message("of-another-set", words, piece=mate.ref, theirs=mate.set_name, wanted=spelled)],
            Message("name-or-piece", _("Leave the name blank, or choose no piece.")),
        )
    return mate.set_name, None


def _must_be_another_of_its_maker(wanted: Piece, mate: Piece) -> None:
    if mate.maker_id != wanted.maker_id:
        raise Unusable(
            [
                Message(
                    "of-another-maker",
                    _("{piece} has another maker. All pieces of a set have the same maker."),
                    piece=mate.ref,
                )
            ],
            Message("pick-the-same-maker", _("Choose a piece of the same maker.")),
        )
    if mate.id == wanted.id:
        raise Unusable(
            [Message("the-piece-itself", _("{piece} is this piece itself."), piece=mate.ref)],
            Message("pick-its-mate", _("Choose another piece to fire together with this one.")),
        )


def _named_after(change: Change, piece: Piece) -> str:
    """A name for the set that begins with this piece: what it is, and its slip number where that name is taken."""
    what = piece.what[:_LONGEST_NAME].strip()
    if what and change.read.pieces.set_named(piece.maker_id, what) is None:
        return what
    return f"{what} {slip_text(piece.id)}".strip()


def free_set_name(change: Change, maker_id: int, what: str) -> str:
    """A name that none of this maker's sets has: what the piece is called, with a number where that is taken."""
    first = what[:_LONGEST_NAME].strip()
    names = itertools.chain([first], (f"{first} {number}" for number in itertools.count(2)))
    return next(name for name in names if change.read.pieces.set_named(maker_id, name) is None)


def _tie(change: Change, mate: Piece, name: str) -> Message:
    after = set_right(mate, Told(set_name=name))
    mate.must_not_be_in_a_kiln()
    change.save(mate, after, change_line(mate, after))
    words = _("{piece}: details saved, {changes}.")
    return Message("set-right", words, piece=named(mate), changes=all_changes(changes(mate, after)))


def change_line(before: Piece, after: Piece, verdict: Verdict | None = None) -> HistoryLine:
    """The line of history that keeps what each changed fact was and is."""
    changed = tuple((one.fact, one.was, one.now) for one in changes(before, after))
    facts: dict[str, Fact] = {"changes": changed}
    return HistoryLine(step=StepName.SET_RIGHT, verdict=verdict, facts=facts)


def in_set(change: Change, new: Piece, name: str, belongs_with: str) -> Piece:
    """A new piece with the set it is to belong to, if any."""
    theirs, _tied = set_for(change, new, name, belongs_with)
    return replace(new, set_name=theirs or None)


def still_to_be_fired(read: Queries, piece: Piece) -> list[PieceRow]:
    """The other pieces of its set that are no further than `piece`, and so have the firing before them that it has."""
    so_far = LINE[: LINE.index(piece.stage) + 1]
    return [row for row in read.pieces.mates(piece) if row.piece.stage in so_far]


def still_here(read: Queries, piece: Piece) -> list[PieceRow]:
    """The other pieces of its set that haven't been handed out and aren't lost."""
    return [row for row in read.pieces.mates(piece) if row.piece.stage not in {Stage.CLAIMED, Stage.LOST}]


def mates_named(rows: Iterable[PieceRow]) -> tuple[Message, ...]:
    """What each of these pieces of a set is called to somebody who looks for it: "lid W12"."""
    return tuple(Message("mate", "{what} {piece}", what=row.piece.what, piece=row.ref) for row in rows)


def mate_stands(row: PieceRow) -> Message:
    """Where another piece of the set stands, told beside this one: it is queued, say."""
    words = _("From the same set, {piece} is {stage}: {what}.")
    return Message("mate-stands", words, what=row.piece.what, piece=row.ref, stage=row.piece.stage)


def not_handed_out(rows: Iterable[PieceRow]) -> Message:
    """Which pieces of a set stay behind when another is handed out, and where each stands: "lid W12 (queued)"."""
    mates = tuple(
        Message("mate-at", "{what} {piece} ({stage})", what=row.piece.what, piece=row.ref, stage=row.piece.stage)
        for row in rows
    )
    words = Plural("mates", "Its {mates} isn't handed out yet.", "Its {mates} aren't handed out yet.")
    return Message("set-not-out", words, mates=mates)
